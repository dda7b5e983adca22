//! `listen`, and, through PulseAudio's null sink, real capture of a simulated watch. Those tests are
//! ignored unless asked for, since they need PulseAudio and take their time: `./dev test` asks.

use crate::bench::{Bench, codes, number};
use serde_json::Value;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

#[test]
fn what_is_asked_for_wrongly_is_told() {
    let bench = Bench::new();
    for (line, told) in [
        ("listen --save x.wav", "--save writes FLAC: end the name “x.wav” in .flac."),
        ("listen --until-sd 0", "above zero"),
        ("listen --sample-rate 7999", "sample rate must lie between 8000 and 384000 Hz"),
        ("listen --channels 9", "from 1 to 8"),
        ("listen --replace", "--save-clock"),
        ("listen --save-clock a/b", "is no name for a clock"),
        ("listen --clock nobodys", "No clock is kept under the name"),
    ] {
        let said = bench.run(line);
        assert_eq!(said.status, 2, "{line}: {}", said.err);
        assert!(said.sentence().contains(told), "{line}: {}", said.err);
    }
    assert_eq!(bench.names(), Vec::<String>::new());
}

#[test]
fn a_device_that_is_not_there_is_told_in_one_sentence() {
    let bench = Bench::new();
    let said = bench.run("listen --device no-such-device --save x.flac");
    assert_eq!(said.status, 3);
    // One line: the sound system's own complaints are kept from the user.
    assert!(said.sentence().contains("no-such-device"), "{}", said.err);
    assert!(said.sentence().contains("--list-devices"), "{}", said.err);
    // Sound systems leave files of their own at home.
    assert!(!bench.names().iter().any(|name| name.contains("flac")), "no file is begun");
}

/// A PulseAudio of the test's own, without sound card, whose one sink leads nowhere but to its
/// monitor.
struct Pulse {
    bench: Bench,
    server: Child,
}

const SINK: [&str; 4] = ["sink_name=probe", "rate=48000", "channels=1", "channel_map=mono"];

impl Pulse {
    /// `None` where it cannot be started; on a machine that tests for others that is a failure.
    fn start() -> Option<Self> {
        let bench = Bench::new();
        let monitor = "pcm.pulsemon { type pulse device \"probe.monitor\" hint { show on \
                       description \"monitor\" } }\n";
        bench.write(".asoundrc", monitor.as_bytes());
        let runtime = bench.path("run");
        std::fs::create_dir(&runtime).unwrap();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            std::fs::set_permissions(&runtime, std::fs::Permissions::from_mode(0o700)).unwrap();
        }
        let sink = format!("module-null-sink {}", SINK.join(" "));
        let server = Command::new("pulseaudio")
            .args(["-n", "--daemonize=no", "--exit-idle-time=-1"])
            .args(["-L", "module-native-protocol-unix auth-anonymous=1", "-L", &sink])
            .env("HOME", bench.path(""))
            .env("XDG_RUNTIME_DIR", &runtime)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let server = match server {
            Ok(server) => server,
            Err(error) => return Self::without(&error.to_string()),
        };
        let mut pulse = Self { bench, server };
        let begin = Instant::now();
        while !pulse.tool("pactl", &["info"]).status().is_ok_and(|status| status.success()) {
            let over = pulse.server.try_wait().unwrap().is_some();
            if over || begin.elapsed() > Duration::from_secs(20) {
                return Self::without("it does not answer");
            }
            std::thread::sleep(Duration::from_millis(200));
        }
        Some(pulse)
    }

    fn without(why: &str) -> Option<Self> {
        assert!(std::env::var_os("CI").is_none(), "PulseAudio cannot be started: {why}");
        println!("not tested: PulseAudio cannot be started ({why})");
        None
    }

    fn tool(&self, name: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(name);
        command
            .args(arguments)
            .current_dir(self.bench.path(""))
            .env("HOME", self.bench.path(""))
            .env("XDG_RUNTIME_DIR", self.bench.path("run"))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    /// As a system does whose clock is kept right.
    fn answers_that_the_clock_is_synchronised(&self) {
        std::fs::create_dir(self.bench.path("bin")).unwrap();
        let script = "#!/bin/sh\n[ \"$1\" = show ] && echo yes\n";
        self.bench.write("bin/timedatectl", script.as_bytes());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let runs = std::fs::Permissions::from_mode(0o755);
            std::fs::set_permissions(self.bench.path("bin/timedatectl"), runs).unwrap();
        }
    }

    /// Plays a file until it ends or is ended.
    fn play(&self, file: &str) -> Player {
        Player(self.tool("paplay", &["-d", "probe", file]).spawn().unwrap())
    }

    fn listen(&self, line: &str) -> Child {
        let arguments: Vec<&str> = line.split_whitespace().collect();
        let mut command = self.bench.command(&arguments);
        command.env("XDG_RUNTIME_DIR", self.bench.path("run"));
        // Where there is a timedatectl of the test's own, it answers.
        command.env("PATH", self.bench.path("bin"));
        command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    }
}

impl Drop for Pulse {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

struct Player(Child);

impl Drop for Player {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Lines of JSON, the exit status and what was said on standard error.
fn ended(child: Child) -> (Vec<Value>, Option<i32>, String) {
    let output = child.wait_with_output().unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    let lines = out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    (lines, output.status.code(), String::from_utf8(output.stderr).unwrap())
}

const WATCH: &str = "--balance bph=28800,rate=4.2,amplitude=280,beat-error=0.3 \
                     --balance bph=21600,rate=-8.1,amplitude=260,beat-error=0.7,loudness=0.6";

/// More than a minute of a simulated watch through the system's own sound: within 0.5 s/d of the
/// truth, no sample lost, and the sound that was kept gives the same reading.
#[test]
#[ignore = "needs PulseAudio and a minute: ./dev test asks for it"]
fn a_minute_through_the_systems_sound() {
    let Some(pulse) = Pulse::start() else { return };
    pulse.bench.done(&format!("simulate -o w.wav --duration 110 {WATCH}"));
    pulse.answers_that_the_clock_is_synchronised();
    let _player = pulse.play("w.wav");
    let line = "listen --device pulsemon --channels 1 --seconds 80 --save kept.flac \
                --save-clock probe --format json";
    let (lines, status, err) = ended(pulse.listen(line));
    // PulseAudio's null sink runs by the computer's clock. 2 ms at either end of 80 s are 35 ppm.
    assert_eq!(status, Some(4), "{err}");
    assert!(err.contains("ppm only") && err.contains("ten minutes or more"), "{err}");
    let against = lines.iter().rev().find_map(|line| line.get("against_computer")).unwrap();
    let (error_ppm, sd_ppm) = (number(against, "/error_ppm"), number(against, "/sd_ppm"));
    assert!(error_ppm.abs() < 3.0 * sd_ppm && (35.0..60.0).contains(&sd_ppm), "{against}");
    let (last, before) = lines.split_last().unwrap();
    assert!(before.len() >= 10, "{} lines", before.len());
    for line in before {
        assert_eq!(line["schema"], "endshake.listen/1");
        assert_eq!(line["lost_samples"], 0, "{line}");
    }
    assert_eq!(last["schema"], "endshake.measure/1");
    assert_eq!(codes(last), ["clock_uncalibrated"]);
    assert_eq!(number(last, "/source/duration_s"), 80.0);
    assert_eq!(last["balances"].as_array().unwrap().len(), 2);
    for balance in last["balances"].as_array().unwrap() {
        let (beats, rate) = (number(balance, "/beats_per_hour"), number(balance, "/rate_s_per_d"));
        let truth = if beats == 28_800.0 { 4.2 } else { -8.1 };
        assert!((rate - truth).abs() < 0.5, "{beats}: {rate}");
    }
    let again = pulse.bench.run("measure kept.flac --format json").json();
    assert_eq!(again["balances"], last["balances"]);
    assert!(!pulse.bench.path("kept.part.flac").exists());
}

/// A device that is pulled out and put back: it is waited for, and the time without it is counted.
#[test]
#[ignore = "needs PulseAudio: ./dev test asks for it"]
fn a_device_that_goes_and_comes_back() {
    let Some(pulse) = Pulse::start() else { return };
    pulse.bench.done("simulate -o w.wav --duration 60 --balance bph=28800,rate=3");
    let player = pulse.play("w.wav");
    let line = "listen --device pulsemon --channels 1 --seconds 25 --format json";
    let listening = pulse.listen(line);
    std::thread::sleep(Duration::from_secs(8));
    let unplug = ["unload-module", "module-null-sink"];
    assert!(pulse.tool("pactl", &unplug).status().unwrap().success());
    drop(player);
    std::thread::sleep(Duration::from_secs(3));
    let plug_in: Vec<&str> = ["load-module", "module-null-sink"].into_iter().chain(SINK).collect();
    assert!(pulse.tool("pactl", &plug_in).status().unwrap().success());
    let _player = pulse.play("w.wav");
    let (lines, status, err) = ended(listening);
    assert_eq!((status, &*err), (Some(0), ""));
    let (last, before) = lines.split_last().unwrap();
    assert_eq!(number(last, "/source/duration_s"), 25.0);
    let lost = before.iter().map(|line| number(line, "/lost_samples")).fold(0.0, f64::max);
    // Three seconds without it, and what it takes to see that it is back.
    assert!((2.5 * 48_000.0..12.0 * 48_000.0).contains(&lost), "{lost}");
    assert!(codes(last).contains(&"samples_lost"), "{last}");
    // Played anew, the watch beats at other moments than before, as another would: whatever is made
    // of it, every balance that is reported has the rate that is played.
    let balances = last["balances"].as_array().unwrap();
    assert!(!balances.is_empty());
    for balance in balances {
        assert_eq!(number(balance, "/beats_per_hour"), 28_800.0);
        assert!((number(balance, "/rate_s_per_d") - 3.0).abs() < 2.0, "{balance}");
    }
}

/// Ctrl-C ends it and what was found is printed; the sound that was kept is whole.
#[test]
#[ignore = "needs PulseAudio: ./dev test asks for it"]
fn ctrl_c_ends_it_with_what_was_found() {
    let Some(pulse) = Pulse::start() else { return };
    pulse.bench.done("simulate -o w.wav --duration 40");
    let _player = pulse.play("w.wav");
    let listening = pulse.listen("listen --device pulsemon --channels 1 --save kept.flac");
    std::thread::sleep(Duration::from_secs(12));
    let id = listening.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let output = listening.wait_with_output().unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0), "{out}");
    assert!(out.contains("beats per hour") && out.contains("28,800"), "{out}");
    // Plain lines, for this is no terminal.
    assert!(!out.contains('\u{1b}'), "{out}");
    let kept = pulse.bench.run("measure kept.flac --format json").json();
    assert!(number(&kept, "/source/duration_s") > 5.0);
}

/// Killed in the midst of it, the sound up to then lies beside and can be measured.
#[test]
#[ignore = "needs PulseAudio: ./dev test asks for it"]
fn killed_it_leaves_the_sound() {
    let Some(pulse) = Pulse::start() else { return };
    pulse.bench.done("simulate -o w.wav --duration 40");
    let _player = pulse.play("w.wav");
    let mut listening = pulse.listen("listen --device pulsemon --channels 1 --save kept.flac");
    std::thread::sleep(Duration::from_secs(14));
    // SIGKILL, which no program can catch.
    listening.kill().unwrap();
    listening.wait().unwrap();
    assert!(!pulse.bench.path("kept.flac").exists());
    let measured = pulse.bench.run("measure kept.part.flac --format json").json();
    assert!(number(&measured, "/source/duration_s") > 5.0, "{measured}");
    assert_eq!(number(&measured, "/balances/0/beats_per_hour"), 28_800.0);
    // And what lies there is not written over.
    let again = pulse.listen("listen --device pulsemon --channels 1 --save kept.flac");
    let (_, status, err) = ended(again);
    assert_eq!(status, Some(1));
    assert!(err.contains("kept.part.flac” is there already"), "{err}");
}
