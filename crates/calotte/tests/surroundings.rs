//! Keep-outs: distances, remaining coverage, swept volume, park and approach,
//! against closed forms by hand and brute-force clouds of points made here.

mod common;

#[path = "surroundings/approach.rs"]
mod approach;
#[path = "surroundings/cloud.rs"]
mod cloud;
#[path = "surroundings/coverage.rs"]
mod coverage;
#[path = "surroundings/distances.rs"]
mod distances;
#[path = "surroundings/room.rs"]
mod room;
#[path = "surroundings/scene.rs"]
mod scene;
