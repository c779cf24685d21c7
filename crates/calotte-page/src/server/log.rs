//! Lines for the terminal. Refusals come at a bounded rate, so that a flood of requests
//! does not become a flood of lines.

use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Refusals shown within one [`WINDOW`]; the others are counted.
const LINES_MAX: u32 = 20;
/// The time over which refusals are counted.
const WINDOW: Duration = Duration::from_secs(1);
/// Characters of a refusal that are shown.
const LENGTH_MAX: usize = 240;

/// Where lines for people go; cheap to clone.
#[derive(Clone)]
pub struct Log(Arc<Inner>);

struct Inner {
    sink: Box<dyn Fn(&str) + Send + Sync>,
    counting: Mutex<Counting>,
}

/// Refusals of the present window.
struct Counting {
    since: Instant,
    shown: u32,
    hidden: u64,
}

impl Log {
    /// Lines go to `sink`, one call each, without line end.
    pub fn new(sink: impl Fn(&str) + Send + Sync + 'static) -> Self {
        Self(Arc::new(Inner {
            sink: Box::new(sink),
            counting: Mutex::new(Counting {
                since: Instant::now(),
                shown: 0,
                hidden: 0,
            }),
        }))
    }

    /// Lines go to stderr.
    pub fn stderr() -> Self {
        use std::io::Write;
        // A terminal that has gone must not end the server, as `eprintln!` would.
        Self::new(|line| drop(writeln!(std::io::stderr(), "{line}")))
    }

    /// One line, always shown.
    pub(crate) fn line(&self, line: &str) {
        (self.0.sink)(line);
    }

    /// One line for a request that was turned away. What came from outside is shown
    /// without control characters and shortened.
    pub(crate) fn refused(&self, what: &str) {
        self.flush();
        {
            let mut counting = self.counting();
            if counting.shown >= LINES_MAX {
                counting.hidden += 1;
                return;
            }
            counting.shown += 1;
        }
        self.line(&format!("refused: {}", printable(what)));
    }

    /// Tells how many refusals the last window hid, once it is over. Called with each
    /// refusal and once a second by the server.
    pub(crate) fn flush(&self) {
        let hidden = {
            let mut counting = self.counting();
            if counting.since.elapsed() < WINDOW {
                return;
            }
            let hidden = counting.hidden;
            *counting = Counting {
                since: Instant::now(),
                shown: 0,
                hidden: 0,
            };
            hidden
        };
        if hidden > 0 {
            self.line(&format!("refused: {hidden} more within a second"));
        }
    }

    fn counting(&self) -> std::sync::MutexGuard<'_, Counting> {
        // The numbers hold whatever a thread did that panicked here.
        self.0
            .counting
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }
}

impl fmt::Debug for Log {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Log")
    }
}

/// Text from outside, safe to show on a terminal.
fn printable(text: &str) -> String {
    let mut shown = String::new();
    for (index, character) in text.chars().enumerate() {
        if index == LENGTH_MAX {
            shown.push('…');
            break;
        }
        if character.is_control() {
            shown.extend(character.escape_default());
        } else {
            shown.push(character);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn recorded() -> (Log, Arc<Mutex<Vec<String>>>) {
        let lines = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&lines);
        let log = Log::new(move |line| kept.lock().unwrap().push(line.to_owned()));
        (log, lines)
    }

    #[test]
    fn a_flood_becomes_twenty_lines_and_a_number() {
        let (log, lines) = recorded();
        for number in 0..1000 {
            log.refused(&format!("GET /{number}"));
        }
        assert_eq!(lines.lock().unwrap().len(), 20);
        std::thread::sleep(WINDOW + Duration::from_millis(50));
        log.flush();
        assert_eq!(
            lines.lock().unwrap()[20],
            "refused: 980 more within a second"
        );
        log.refused("GET /again");
        assert_eq!(lines.lock().unwrap()[21], "refused: GET /again");
    }

    #[test]
    fn what_comes_from_outside_cannot_steer_the_terminal() {
        let (log, lines) = recorded();
        log.refused("GET /\u{1b}[2J\nrefused: nothing");
        log.refused(&"x".repeat(10_000));
        let lines = lines.lock().unwrap();
        assert_eq!(lines[0], "refused: GET /\\u{1b}[2J\\nrefused: nothing");
        assert_eq!(lines[1].chars().count(), "refused: ".len() + LENGTH_MAX + 1);
    }
}
