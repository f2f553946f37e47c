//! The lines of a page.

/// Highest line, over the design line: beyond, the iron of many sets is past what its law is good for.
pub const HIGHEST: f64 = 1.3;

/// The lines a page moves over, V RMS.
#[derive(Debug, Clone, Copy)]
pub struct StateLine {
    /// Lowest: the first stage of a variac with all tubes in.
    pub least: f64,
    /// Highest.
    pub most: f64,
    /// The outlet's usual.
    pub usual: f64,
    /// What the set was designed for.
    pub design: f64,
}
