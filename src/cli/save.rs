//! stub until merged
pub struct SaveError;
impl std::fmt::Display for SaveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "x")
    }
}
impl SaveError {
    pub fn advice(&self) -> &'static str {
        "x"
    }
}
pub fn save(path: &std::path::Path, text: &str, _force: bool) -> Result<(), SaveError> {
    std::fs::write(path, text).map_err(|_| SaveError)
}
