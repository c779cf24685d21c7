//! `calotte judge`: designs as JSON lines in, their verdicts as JSON lines out.
//!
//! The brief is prepared once. Lines are read, judged by several threads and answered in
//! the order they came; an answer leaves as soon as it and all before it are done, so that
//! a program may wait for one before it sends the next. Only so many lines are read ahead.

mod lines;
mod refused;

use std::io::{self, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use calotte::analysis::{AnalysisError, AnalysisOptions, Requirements, analyse_subject};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::subject::{Motion, Subject};
use calotte_document::judged::{self, JudgedDocument};
use calotte_format::Refusal;
use calotte_format::safety::Safety;
use calotte_report::analyse::{Asked, Choices, differences, document};
use calotte_report::input::Input;
use calotte_report::safety;

use crate::Verdict;
use crate::arguments::{JudgeOptions, RangesOf};
use crate::failure::Failure;
use crate::files::sha256;
use crate::inputs;
use crate::terminal;
use lines::{Line, Lines};
use refused::Refused;

/// Lines read ahead of the answers, for each thread.
const AHEAD: usize = 4;

/// Judges every design that comes in on standard input.
pub fn run(options: &JudgeOptions) -> Result<Verdict, Failure> {
    let brief = inputs::brief_to_judge(&options.brief)?;
    let threads = match options.threads {
        Some(threads) => threads,
        None => thread::available_parallelism().map_or(1, usize::from),
    };
    let question = Arc::new(Question {
        requirements: Requirements::from_brief(&brief.value),
        brief,
        lists: options.lists,
        options: AnalysisOptions {
            bands_only_if_met: options.ranges == RangesOf::Met,
            ..AnalysisOptions::default()
        },
    });
    let answers = start(&question, threads)?;
    let mut count = Count::default();
    let mut out = io::stdout().lock();
    for answer in answers {
        // A thread that is gone leaves no answer: its fault is told as one.
        let answer = answer.recv().map_err(|_| {
            Failure::new("a thread ended without an answer").hint("report this with the designs")
        })??;
        let sent = writeln!(out, "{}", answer.text).and_then(|()| out.flush());
        if let Err(error) = sent {
            if error.kind() == io::ErrorKind::BrokenPipe {
                return Err(Failure::new(format!("standard output is closed: {error}"))
                    .hint("read all answers, one for each design"));
            }
            terminal::record(Err(error));
            terminal::whole()?;
        }
        count.add(answer.met);
    }
    count.verdict()
}

/// What is asked of every design.
struct Question {
    brief: Input<Brief>,
    requirements: Requirements,
    lists: bool,
    options: AnalysisOptions,
}

/// One line of standard output.
struct Answer {
    text: String,
    /// `None` where there is no verdict.
    met: Option<bool>,
}

/// How the designs stand.
#[derive(Default)]
struct Count {
    met: usize,
    not_met: usize,
    without_verdict: usize,
}

impl Count {
    fn add(&mut self, met: Option<bool>) {
        match met {
            Some(true) => self.met += 1,
            Some(false) => self.not_met += 1,
            None => self.without_verdict += 1,
        }
    }

    fn verdict(&self) -> Result<Verdict, Failure> {
        let all = self.met + self.not_met + self.without_verdict;
        if all == 0 {
            return Err(Failure::new("no design came in on standard input").hint(
                "send one JSON object on each line, such as `calotte judge BRIEF < designs.jsonl`",
            ));
        }
        if self.without_verdict > 0 {
            return Err(Failure::new(format!(
                "{} of {all} designs could not be judged",
                self.without_verdict
            ))
            .hint("their answers say why, in `error`"));
        }
        Ok(if self.not_met == 0 {
            Verdict::Met
        } else {
            Verdict::NotMet
        })
    }
}

/// An answer to come, or why standard input ended early.
type Coming = Receiver<Result<Answer, Failure>>;

/// A line with where its answer goes.
struct Job {
    line: Line,
    answer: SyncSender<Result<Answer, Failure>>,
}

/// Starts reading and judging; the answers to come, in the order of the lines.
fn start(question: &Arc<Question>, threads: usize) -> Result<Receiver<Coming>, Failure> {
    let (coming, answers) = sync_channel::<Coming>(AHEAD * threads);
    let (jobs, open) = sync_channel::<Job>(threads);
    let open = Arc::new(Mutex::new(open));
    let cannot = |error: &dyn std::fmt::Display| {
        Failure::new(format!("cannot start a thread: {error}")).hint("give fewer --threads")
    };
    for _ in 0..threads {
        // A design is judged by one thread alone: the numbers cannot depend on their number.
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .map_err(|error| cannot(&error))?;
        let (question, open) = (Arc::clone(question), Arc::clone(&open));
        thread::Builder::new()
            .spawn(move || pool.install(|| work(&question, &open)))
            .map_err(|error| cannot(&error))?;
    }
    thread::Builder::new()
        .spawn(move || read(&coming, &jobs))
        .map_err(|error| cannot(&error))?;
    Ok(answers)
}

/// Hands out the lines until they end or nobody waits for answers any more.
fn read(coming: &SyncSender<Coming>, jobs: &SyncSender<Job>) {
    let mut lines = Lines::new(io::stdin().lock(), calotte_format::TEXT_MAX);
    loop {
        let (answer, to_come) = sync_channel(1);
        match lines.next_line() {
            Ok(None) => return,
            Ok(Some(line)) => {
                // In this order: a line taken on has its place among the answers.
                if coming.send(to_come).is_err() || jobs.send(Job { line, answer }).is_err() {
                    return;
                }
            }
            Err(error) => {
                let failure = Failure::new(format!("standard input cannot be read: {error}"));
                // Whoever no longer listens needs no telling.
                let _ = answer.send(Err(failure.hint("send JSON lines")));
                let _ = coming.send(to_come);
                return;
            }
        }
    }
}

/// Judges lines until none are left.
fn work(question: &Question, open: &Mutex<Receiver<Job>>) {
    let mut motion = None;
    loop {
        let job = open.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(Job { line, answer }) = job else {
            return;
        };
        let number = line.number;
        let judged = catch_unwind(AssertUnwindSafe(|| question.judge(&line, &mut motion)));
        let judged = judged.unwrap_or_else(|_| {
            motion = None;
            let hint = "report this with the design";
            Err(Refused::new(
                "a fault of the program while judging this design",
                hint,
            ))
        });
        let judged = judged.unwrap_or_else(|refused| Answer {
            text: refused.answer(number),
            met: None,
        });
        // Nobody waits for it once standard output is closed.
        let _ = answer.send(Ok(judged));
    }
}

impl Question {
    /// The answer to one line. The last motion is kept: who varies sizes alone needs no other.
    fn judge(&self, line: &Line, motion: &mut Option<Arc<Motion>>) -> Result<Answer, Refused> {
        let text = line.text()?;
        let design = calotte_format::read_design_json(text)?;
        let warnings = differences(&design, &self.brief.value);
        let design = Input {
            value: design,
            // A line is no file.
            path: PathBuf::new(),
            sha256: sha256(text.as_bytes()),
            text: text.to_string(),
        };
        let subject = self.subject(&design.value, motion)?;
        let analysis = analyse_subject(&subject, &self.requirements, &self.options)
            .map_err(|error| self.refused(&error, &design.value))?;
        let (brief, choices) = (Some(&self.brief), Choices::default());
        let mut document = document(
            &design,
            brief,
            &analysis,
            &Asked::Region,
            &warnings,
            choices,
        );
        if !self.lists {
            document.analysis.rings = None;
            document.analysis.configurations = None;
        }
        // A line may leave alone, and thousands follow it: the paragraph without its lists.
        document.safety =
            safety::notice_document(Safety::of(&design.value, self.brief.value.people_near));
        let answer = JudgedDocument::Verdict(Box::new(judged::Verdict {
            line: line.number,
            document,
        }));
        Ok(Answer {
            met: Some(analysis.met()),
            text: terminal::escaped(&calotte_document::json(&answer).to_string()),
        })
    }

    /// An error of the mechanics with the keys it comes from. A line is no file of lines: the
    /// places are those of the design written as one, and are not said.
    fn refused(&self, error: &AnalysisError, design: &Design) -> Refused {
        let text = calotte_format::write_design(design, "");
        let judged_by = Some((&self.brief.value, self.brief.text.as_str()));
        match calotte_format::refused(error, (design, &text), judged_by) {
            Refusal::Design(error) | Refusal::Brief(error) => error.into(),
        }
    }

    fn subject(
        &self,
        design: &Design,
        motion: &mut Option<Arc<Motion>>,
    ) -> Result<Subject, Refused> {
        let made = match motion {
            Some(motion) => Subject::on(motion, design.clone()),
            None => self.requirements.subject(design),
        };
        let made = made.map_err(|error| self.refused(&error.into(), design))?;
        *motion = Some(Arc::clone(&made.motion));
        Ok(made)
    }
}
