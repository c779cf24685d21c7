//! One module per command.

pub mod analyse;
pub mod compare;
pub mod design;
pub mod map;
pub mod new;
pub mod schema;
pub mod verify;
