//! `calotte measure`: the prototype measured.

pub mod fit;
mod fit_files;
pub mod plan;
