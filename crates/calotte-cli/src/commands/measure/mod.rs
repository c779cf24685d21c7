//! `calotte measure`: the prototype measured.

pub mod fit;
mod fit_files;
mod found;
pub mod plan;
