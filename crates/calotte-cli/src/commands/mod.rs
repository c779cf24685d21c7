//! One module per command.

pub mod analyse;
pub mod compare;
pub mod design;
pub mod judge;
pub mod map;
pub mod measure;
pub mod new;
#[cfg(feature = "page")]
pub mod page;
pub mod parts;
pub mod schema;
pub mod verify;
