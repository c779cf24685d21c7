//! What moving parts keep clear of: distances to keep-out volumes, the coverage
//! that remains, swept volume, park configuration and the way in and out.
