//! Which parts come near each other over the range of motion, where they touch
//! first, and which layers leave the used range free.
