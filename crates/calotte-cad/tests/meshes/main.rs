//! Meshes of solids: closed, oriented, and as large as the solids they stand for.

mod bars;
#[path = "../../../calotte/tests/common/mod.rs"]
mod common;
mod parts;
mod random;
mod reference;
mod refusals;
mod rounds;
