//! Virtual joints: the second opinion.
