//! `calotte measure`: the prototype measured.

pub mod fit;
mod fit_figures;
mod fit_files;
mod fit_words;
pub mod plan;
mod sheet;
mod weights_words;
