//! How do built parts become solids that others can read, as bytes.
