//! What goes between page and program: one type for each question and answer.
//!
//! Lengths in mm, angles in degrees, the rest SI, with the unit in the name, as in
//! the files. What the command line says too comes as a document of crate `calotte-document`.
//! `web/src/api/types.ts` is written from all these types by a test.
//!
//! Parts: [`design`] (designs, briefs and what depends on neither); [`linkage`] (the linkage as drawn); [`parts`] (the parts of a built design); [`pose`] (one configuration, and what a load does to it); [`judgement`] (needed against got, and how many stages are stiffest); [`dome`] (a quantity and zones over the dome); [`measured`] (what a prototype's measurements say); [`planned`] (what to measure on it); [`rooms`] (the map and the candidates).

mod design;
mod dome;
mod judgement;
mod linkage;
mod measured;
mod parts;
mod planned;
mod pose;
mod rooms;

pub(crate) use calotte_document::common::{PolarAzimuth, Triple};
pub(crate) use design::*;
pub(crate) use dome::*;
pub(crate) use judgement::*;
pub(crate) use linkage::*;
pub(crate) use measured::*;
pub(crate) use parts::*;
pub(crate) use planned::*;
pub(crate) use pose::*;
pub(crate) use rooms::*;
