//! Files and folders: read within bounds, written whole or not at all, held by one process.
//!
//! What a person or another program put somewhere is never lost here: it is left where it is,
//! or kept beside under a name that is told. A kill, a full disk or a cut of power between any
//! two steps leaves the old version or the new one.
//!
//! Parts: [`read`] (ordinary files up to a limit), [`write`](fn@write) (one file), [`Results`]
//! (a folder), [`Claim`] (one process at a time), [`Journal`] (lines that survive a kill).

mod claim;
mod contents;
mod error;
mod hash;
mod journal;
mod place;
mod read;
mod recover;
mod results;
mod swap;
mod write;

pub use claim::Claim;
pub use error::{FileError, Kind};
pub use hash::{digits, sha256};
pub use journal::Journal;
pub use place::Place;
pub use read::{ordinary, read};
pub use results::Results;
pub use write::{Expected, write};
