//! Exit codes.

/// What an exit code says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// Done.
    Done = 0,
    /// A sound question without an answer.
    NoAnswer = 1,
    /// A bad profile or command line; an output that could not be written.
    BadInput = 2,
    /// Stopped by Ctrl-C, what was done before being printed; 128 and the number of the signal, as shells have it.
    Stopped = 130,
}

impl Exit {
    /// All of them, each with its words for whoever reads of it.
    pub const ALL: [(Exit, &str); 4] = [
        (Exit::Done, "done"),
        (
            Exit::NoAnswer,
            "the question was sound but has no answer, such as a calculation that did not converge",
        ),
        (
            Exit::BadInput,
            "something is wrong with the profile or the command line, or the output could not be written",
        ),
        (Exit::Stopped, "a list of files was stopped by Ctrl-C; what was done is printed"),
    ];
    /// What holds for the code of a list.
    pub const OF_A_LIST: &str = "A list of files ends with the highest code among them.";

    /// The code.
    pub const fn code(self) -> u8 {
        self as u8
    }
}
