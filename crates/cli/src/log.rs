//! What happens, told on standard error: to a person in a terminal, or to the journal of a service.
//!
//! Nothing that lets anybody in is ever told: no code, no cookie, no password of a database.

use crate::arguments::LogLevel;
use std::fmt;
use std::io::IsTerminal;
use tracing::{Event, Level, Subscriber};
use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::format::{Format, Full, Writer};
use tracing_subscriber::fmt::{FmtContext, FormatEvent, FormatFields};
use tracing_subscriber::registry::LookupSpan;

/// Begins to tell, so much. Where nothing is said: what RUST_LOG says, else what a person at a terminal
/// should know, and for a service also what happens.
pub(crate) fn begin(level: Option<LogLevel>) {
    let is_terminal = std::io::stderr().is_terminal();
    let usual = if is_terminal { "warn,server=info,store=info" } else { ours("info") };
    let filter = match level {
        Some(level) => EnvFilter::new(ours(level.code())),
        None => EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new(usual)),
    };
    let telling = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    let begun = if is_the_journal() {
        telling.event_format(Journal::new()).try_init()
    } else {
        let ink = is_terminal && std::env::var_os("NO_COLOR").is_none_or(|set| set.is_empty());
        telling.with_ansi(ink).try_init()
    };
    // Somebody else tells already.
    drop(begun);
}

/// So much of this program's own crates, and what went wrong of all others.
fn ours(level: &str) -> &'static str {
    match level {
        "error" => "error",
        "warn" => "warn",
        "info" => "warn,endshake=info,server=info,store=info",
        _ => "warn,endshake=debug,server=debug,store=debug",
    }
}

/// Whether standard error is the journal: it says by which file it is (systemd.exec(5), `$JOURNAL_STREAM`).
#[cfg(target_os = "linux")]
fn is_the_journal() -> bool {
    use std::os::linux::fs::MetadataExt;
    let Ok(named) = std::env::var("JOURNAL_STREAM") else { return false };
    let file = std::fs::metadata("/proc/self/fd/2");
    file.is_ok_and(|file| named == format!("{}:{}", file.st_dev(), file.st_ino()))
}

#[cfg(not(target_os = "linux"))]
fn is_the_journal() -> bool {
    false
}

/// For the journal: it notes the time itself, and takes the level from a number before each line
/// (sd-daemon(3)).
struct Journal(Format<Full, ()>);

impl Journal {
    fn new() -> Self {
        Self(tracing_subscriber::fmt::format().without_time().with_level(false).with_ansi(false))
    }
}

/// The numbers of syslog(3).
fn priority(level: Level) -> u8 {
    match level {
        Level::ERROR => 3,
        Level::WARN => 4,
        Level::INFO => 6,
        _ => 7,
    }
}

impl<S, N> FormatEvent<S, N> for Journal
where
    S: Subscriber + for<'a> LookupSpan<'a>,
    N: for<'a> FormatFields<'a> + 'static,
{
    fn format_event(
        &self,
        context: &FmtContext<'_, S, N>,
        mut writer: Writer<'_>,
        event: &Event<'_>,
    ) -> fmt::Result {
        write!(writer, "<{}>", priority(*event.metadata().level()))?;
        self.0.format_event(context, writer, event)
    }
}
