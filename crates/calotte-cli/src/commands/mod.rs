//! One module per command.

pub mod analyse;
pub mod design;
pub mod new;
pub mod schema;
pub mod verify;
