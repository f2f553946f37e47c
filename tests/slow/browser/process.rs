//! A Chromium process, spoken to in the DevTools protocol over two pipes.
//!
//! With `--remote-debugging-pipe` the browser reads messages from file descriptor 3 and writes them to 4, each a JSON
//! text ended by a zero byte. A shell lays our standard pipes there, so neither a port nor a web socket is needed, and
//! a browser whose pipe closes ends by itself: none is left behind when the tests end, however they end.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::{Duration, Instant};

/// Longest wait for one answer; a cold start on a busy machine of two cores is the slowest.
const PATIENCE: Duration = Duration::from_secs(120);
/// `--no-sandbox` because root may not have one; the pages are our own, and no name of a host resolves.
const FLAGS: [&str; 13] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    // a page is laid out for paper, which has no scroll bar
    "--hide-scrollbars",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--force-device-scale-factor=1",
    "--remote-debugging-pipe",
];
/// Runs the browser with our pipes as 3 and 4, and clears its profile away when it has ended.
const SHELL: &str = r#"
    profile=$1; shift
    "$@" --user-data-dir="$profile" 3<&0 4>&1 </dev/null >/dev/null 2>"$profile.log" && rm -f "$profile.log"
    rm -rf "$profile"
"#;

/// The running browser and the line to it.
pub struct Browser {
    to: ChildStdin,
    from: Receiver<Value>,
    last: u64,
    /// Events of the page that came while an answer was waited for.
    events: Vec<Value>,
    // held so that the pipe from it stays open
    _shell: Child,
}

/// A program of `PATH`, or at a path.
fn program(name: &str) -> Option<PathBuf> {
    if name.contains('/') {
        return Path::new(name).is_file().then(|| name.into());
    }
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
}

/// What browser tests need of the machine: the browser's path, or what is missing.
fn needed() -> Result<PathBuf, String> {
    for tool in ["sh", "pdfinfo", "pdftotext", "pdftoppm"] {
        program(tool).ok_or_else(|| format!("no {tool} in PATH"))?;
    }
    if let Ok(named) = std::env::var("MAINSFIT_BROWSER") {
        return program(&named).ok_or_else(|| format!("MAINSFIT_BROWSER={named} is no program"));
    }
    ["chromium", "chromium-browser", "google-chrome"]
        .iter()
        .find_map(|name| program(name))
        .ok_or_else(|| "no chromium, chromium-browser or google-chrome in PATH".to_owned())
}

/// The browser, if what is needed is here. If not, says so past the capture of the test runner, or panics where it
/// is required.
pub fn granted(needed: &Result<PathBuf, String>, required: bool) -> Option<&PathBuf> {
    match needed {
        Ok(path) => Some(path),
        Err(missing) if required => panic!("browser tests are required, but there is {missing}"),
        Err(missing) => {
            let thread = std::thread::current();
            let test = thread.name().unwrap_or("a test").to_owned();
            // not eprintln!, which the runner would swallow in a test that passes
            let mut terminal = std::io::stderr();
            writeln!(terminal, "{test} was not run: {missing}").unwrap();
            None
        }
    }
}

/// Whether browser tests can run here. With `MAINSFIT_BROWSER_REQUIRED=1` they must.
pub fn ready() -> bool {
    let required = std::env::var("MAINSFIT_BROWSER_REQUIRED").is_ok_and(|v| v == "1");
    granted(&needed(), required).is_some()
}

/// The one browser of this run, for one test at a time.
pub fn browser() -> MutexGuard<'static, Browser> {
    static ONE: OnceLock<Mutex<Browser>> = OnceLock::new();
    ONE.get_or_init(|| Mutex::new(Browser::start())).lock().unwrap_or_else(PoisonError::into_inner)
}

/// A folder for files of this run that no other run shares.
pub fn scratch() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::create_dir_all(folder).unwrap();
    folder.join(format!("browser-{}", std::process::id()))
}

impl Browser {
    fn start() -> Self {
        let path = needed().unwrap_or_else(|missing| panic!("{missing}"));
        let mut shell = Command::new("sh")
            .args(["-c", SHELL, "sh"])
            .arg(scratch())
            .arg(path)
            .args(FLAGS)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let to = shell.stdin.take().unwrap();
        let mut lines = BufReader::new(shell.stdout.take().unwrap());
        let (sender, from) = channel();
        std::thread::spawn(move || {
            let mut message = Vec::new();
            while lines.read_until(0, &mut message).is_ok_and(|n| n > 0) {
                let text = message.strip_suffix(b"\0").unwrap_or(&message);
                let Ok(value) = serde_json::from_slice(text) else {
                    break;
                };
                if sender.send(value).is_err() {
                    break;
                }
                message.clear();
            }
        });
        let mut browser = Browser { to, from, last: 0, events: Vec::new(), _shell: shell };
        browser.ask(None, "Browser.getVersion", json!({}));
        browser
    }

    fn next(&mut self, until: Instant, what: &str) -> Value {
        let left = until.saturating_duration_since(Instant::now());
        self.from.recv_timeout(left).unwrap_or_else(|error| {
            let log = scratch().with_extension("log");
            let log = std::fs::read_to_string(log).unwrap_or_default();
            panic!("the browser did not answer {what}: {error}\n{log}")
        })
    }

    /// Sends one command, to the browser or to a tab by its session, and waits for the answer.
    fn ask(&mut self, session: Option<&str>, method: &str, params: Value) -> Value {
        self.last += 1;
        let id = self.last;
        let mut message = json!({ "id": id, "method": method, "params": params });
        if let Some(session) = session {
            message["sessionId"] = json!(session);
        }
        let mut bytes = serde_json::to_vec(&message).unwrap();
        bytes.push(0);
        self.to.write_all(&bytes).unwrap();
        self.to.flush().unwrap();
        let until = Instant::now() + PATIENCE;
        loop {
            let mut message = self.next(until, method);
            if message["id"] == json!(id) {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]["message"]);
                return message["result"].take();
            }
            // an answer to a question that was given up is none of ours
            if message["method"].is_string() {
                self.events.push(message);
            }
        }
    }

    /// Opens a tab. It closes when it goes out of scope.
    pub fn tab(&mut self) -> Tab<'_> {
        self.events.clear();
        let made = self.ask(None, "Target.createTarget", json!({ "url": "about:blank" }));
        let target = made["targetId"].clone();
        let attached =
            self.ask(None, "Target.attachToTarget", json!({ "targetId": target, "flatten": true }));
        Tab { session: attached["sessionId"].as_str().unwrap().to_owned(), target, browser: self }
    }
}

/// One tab of the browser.
pub struct Tab<'b> {
    browser: &'b mut Browser,
    session: String,
    target: Value,
}

impl Tab<'_> {
    /// Sends one command to the tab and waits for the answer.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        self.browser.ask(Some(&self.session), method, params)
    }

    /// Waits for an event of the tab.
    pub fn wait_for(&mut self, method: &str) {
        let until = Instant::now() + PATIENCE;
        let session = json!(self.session);
        let ours = |e: &Value| e["method"] == method && e["sessionId"] == session;
        while !self.browser.events.iter().any(ours) {
            let message = self.browser.next(until, method);
            self.browser.events.push(message);
        }
    }

    /// The parameters of every event of one kind so far.
    pub fn events(&self, method: &str) -> Vec<Value> {
        let all = self.browser.events.iter();
        all.filter(|e| e["method"] == method && e["sessionId"] == json!(self.session))
            .map(|e| e["params"].clone())
            .collect()
    }

    /// The value of a script's last expression, which may be a promise.
    pub fn evaluate(&mut self, script: &str) -> Value {
        let mut answer = self.ask(
            "Runtime.evaluate",
            json!({ "expression": script, "returnByValue": true, "awaitPromise": true }),
        );
        assert!(answer["exceptionDetails"].is_null(), "{}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }
}

impl Drop for Tab<'_> {
    fn drop(&mut self) {
        // a second panic while one unwinds would end the whole run
        if !std::thread::panicking() {
            let target = json!({ "targetId": self.target });
            self.browser.ask(None, "Target.closeTarget", target);
        }
    }
}
