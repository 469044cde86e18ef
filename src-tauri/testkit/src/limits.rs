//! Limits in time, so that no test waits for good: one that has no answer fails with a sentence, and the run goes on.

use std::convert::Infallible;
use std::io::Write as _;
use std::panic::resume_unwind;
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};

/// How long a program of a test may take to answer or to end, on a busy machine as well.
pub const A_PROGRAM: Duration = Duration::from_mins(10);

/// Runs what a test does on a thread of its own and answers what that answers: where threads wait for each other, or this
/// process for itself. After so long the thread is left alone; it ends with the test program.
///
/// # Panics
/// With a sentence when the time is over, and as the body does.
pub fn within<T: Send + 'static>(limit: Duration, body: impl FnOnce() -> T + Send + 'static) -> T {
    let (over, told): (Sender<Infallible>, Receiver<Infallible>) = channel();
    let test = std::thread::spawn(move || {
        let _over = over;
        body()
    });
    match told.recv_timeout(limit) {
        Err(RecvTimeoutError::Timeout) => panic!("This has not ended after {} seconds.", limit.as_secs_f32()),
        Err(RecvTimeoutError::Disconnected) => test.join().unwrap_or_else(|panicked| resume_unwind(panicked)),
        Ok(never) => match never {},
    }
}

/// Ends a program that has not ended in time, so that whoever reads what it says, or waits for it, goes on and finds it dead.
/// It is let go of when this is dropped.
#[derive(Debug)]
pub struct Leash {
    _held: Sender<Infallible>,
}

impl Leash {
    /// Gives this program so long from now on.
    #[must_use]
    pub fn on(child: &Child, limit: Duration) -> Self {
        let (held, dropped): (Sender<Infallible>, Receiver<Infallible>) = channel();
        let program = Pid::from_child(child);
        std::thread::spawn(move || {
            // First by a signal that lets it end what it started itself.
            for (signal, wait) in [(Signal::TERM, limit), (Signal::KILL, Duration::from_secs(5))] {
                if dropped.recv_timeout(wait) == Err(RecvTimeoutError::Disconnected) {
                    return;
                }
                eprintln!("A program of this test has not ended after {} seconds and is ended.", limit.as_secs_f32());
                // One that ended just now is no failure of the test.
                let _ = kill_process(program, signal);
            }
        });
        Self { _held: held }
    }
}

/// What a program says and how it ends, when it is given this input, in [`A_PROGRAM`]'s time.
///
/// # Errors
/// Where it can't be started.
pub fn output(command: &mut Command, input: &[u8]) -> std::io::Result<Output> {
    output_within(A_PROGRAM, command, input)
}

fn output_within(limit: Duration, command: &mut Command, input: &[u8]) -> std::io::Result<Output> {
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()?;
    let leash = Leash::on(&child, limit);
    // Written from a thread of its own, so that neither side waits for the other with a full pipe. A program that takes no input
    // may be gone before it is written.
    let (mut to_child, input) = (child.stdin.take(), input.to_vec());
    let writer = std::thread::spawn(move || to_child.as_mut().is_none_or(|to| to.write_all(&input).is_ok()));
    let output = child.wait_with_output();
    drop(leash);
    // What it had not read when it ended, it did not want.
    let _ = writer.join();
    output
}

#[cfg(test)]
mod tests {
    use std::sync::{Arc, Barrier};
    use std::time::Instant;

    use super::*;

    #[test]
    fn a_body_answers_and_its_panic_is_that_of_the_test() {
        assert_eq!(within(A_PROGRAM, || 6 * 7), 42);
        let panicked = std::panic::catch_unwind(|| within(A_PROGRAM, || assert_eq!(1, 2, "one of two")));
        let said = panicked.unwrap_err();
        assert!(said.downcast_ref::<String>().is_some_and(|said| said.contains("one of two")), "{said:?}");
    }

    #[test]
    fn a_thread_that_waits_for_a_partner_that_panicked_fails_in_time() {
        let begun = Instant::now();
        let waits = std::panic::catch_unwind(|| {
            within(Duration::from_millis(300), || {
                let start = Arc::new(Barrier::new(2));
                std::thread::scope(|scope| {
                    scope.spawn(|| start.wait());
                    panic!("the partner never comes");
                })
            })
        });
        let said = waits.unwrap_err();
        assert!(said.downcast_ref::<String>().is_some_and(|said| said.contains("has not ended")), "{said:?}");
        assert!(begun.elapsed() < Duration::from_secs(60));
    }

    #[test]
    fn a_program_that_never_ends_is_ended_also_one_that_does_not_listen() {
        for script in ["sleep 1000", "trap '' TERM; while :; do sleep 0.1; done"] {
            let begun = Instant::now();
            let output = output_within(Duration::from_millis(300), Command::new("bash").args(["-c", script]), b"");
            assert!(output.is_ok_and(|output| !output.status.success()), "{script}");
            assert!(begun.elapsed() < Duration::from_secs(60), "{script}");
        }
        let echoed = output(&mut Command::new("cat"), b"in and out").unwrap();
        assert_eq!((echoed.status.success(), echoed.stdout.as_slice()), (true, b"in and out".as_slice()));
    }
}
