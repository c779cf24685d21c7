//! calotte
fn main() {}
