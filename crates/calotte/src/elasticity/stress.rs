//! Stress.
