//! All integration tests, compiled as one program.
mod steady_state;
