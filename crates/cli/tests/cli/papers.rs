//! `endshake paper`: papers of a job as files, read by Poppler's `pdftotext` and by `qpdf`, which share
//! no code with what made them.

use crate::bench::Bench;
use crate::workshop::with_a_job;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Invented names: Latin with marks, Cyrillic, Greek, Hebrew, Arabic, Devanagari, Chinese, and a letter
/// of the private use area (Unicode, chapter 23.5), which no font has.
const NAME: &str = "Jøran Říčný, Яна, Μαρία, דוד, مريم, मीना, 李明, \u{F8F0}";

/// A job with a watch, its owner and a photo that cannot be read, where the user's data is.
fn furnish(bench: &Bench, name: &str) {
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        with_a_job(bench, name, b"a picture").await.store.close().await;
    });
}

/// What a program says of a PDF; panics where it finds fault.
fn told(program: &str, before: &[&str], pdf: &Path, after: &[&str]) -> String {
    let output = Command::new(program).args(before).arg(pdf).args(after).output();
    let output = output.unwrap_or_else(|e| panic!("{program}: {e}; `./dev test` installs it"));
    assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn each_paper_is_made_and_what_it_does_not_show_is_told() {
    let bench = Bench::new();
    furnish(&bench, NAME);
    for (kind, words) in
        [("receipt", "received for repair"), ("estimate", "rings late"), ("report", "rings late")]
    {
        let said = bench.run(&format!("paper 1 --kind {kind} --out {kind}.pdf --paper letter"));
        assert_eq!(said.status, 0, "{}", said.err);
        assert!(said.out.starts_with(&format!("{kind}.pdf: ")), "{}", said.out);
        let pdf = bench.path(&format!("{kind}.pdf"));
        told("qpdf", &["--check"], &pdf, &[]);
        let text = told("pdftotext", &[], &pdf, &["-"]);
        assert!(text.contains(words), "{kind}: {words:?} is not in\n{text}");
        // ANSI/ASME Y14.1: 8.5 by 11 inches, in points of 1/72 inch.
        assert!(told("pdfinfo", &[], &pdf, &[]).contains("612 x 792 pts"));
        let told_letters: String = said
            .err
            .lines()
            .filter_map(|line| line.strip_prefix("endshake: No font of this machine has "))
            .filter_map(|line| line.split_once(": a mark stands"))
            .map(|(letters, _)| letters)
            .collect();
        // Which scripts this machine has fonts for nobody knows: what it cannot show it tells.
        for letter in NAME.chars().filter(|c| c.is_alphabetic() || *c == '\u{F8F0}') {
            let is_shown = text.contains(letter);
            let is_told = told_letters.contains(letter);
            assert!(is_shown != is_told, "{kind}: {letter:?} in\n{text}\n{}", said.err);
        }
        assert!(told_letters.contains('\u{F8F0}'), "{}", said.err);
        let photo = "The picture “the hammer” could not be read";
        assert_eq!(said.err.contains(photo), kind != "estimate", "{kind}: {}", said.err);
    }
}

#[test]
fn what_cannot_be_made_is_refused_and_leaves_nothing() {
    let bench = Bench::new();
    let line = |job: &str, out: &str| format!("paper {job} --kind report --out {out}");
    let refused = |line: &str, status: i32, words: &str| {
        let before = bench.names();
        let said = bench.run(line);
        assert_eq!((said.status, said.out.as_str()), (status, ""), "{line}: {}", said.err);
        assert!(said.sentence().contains(words), "{line}: {}", said.err);
        assert_eq!(bench.names(), before, "{line}");
    };
    refused(&line("1", "r.pdf"), 3, "no database at");
    furnish(&bench, "Ada Berg");
    refused(&line("2", "r.pdf"), 3, "There is no job 2.");
    refused(&line("one", "r.pdf"), 3, "neither the number of a job nor its id");
    let id = "01890000-0000-7000-8000-000000000001";
    refused(&line(id, "r.pdf"), 3, "There is no");
    refused(&line("1", "no/such/r.pdf"), 1, "“no/such/r.pdf” could not be written");
    refused(&line("1", "data"), 2, "is a folder");
    refused("paper 1 --kind invoice --out r.pdf", 2, "invoice");
}

/// What had the name before is there until the new paper is whole, and is replaced by it then.
#[test]
fn a_paper_of_the_same_name_is_replaced() {
    let bench = Bench::new();
    furnish(&bench, "Ada Berg");
    bench.write("receipt.pdf", b"of yesterday");
    bench.done("paper 1 --kind receipt --out receipt.pdf");
    assert!(bench.read("receipt.pdf").starts_with(b"%PDF-"));
    assert_eq!(bench.names(), ["data", "receipt.pdf"]);
}

/// SIGKILL, which no program can catch, at moments spread over the whole making.
#[cfg(unix)]
#[test]
fn a_paper_that_is_killed_is_not_there_by_halves() {
    let bench = Bench::new();
    furnish(&bench, "Ada Berg");
    let arguments = ["paper", "1", "--kind", "report", "--out", "report.pdf"];
    let began = Instant::now();
    assert!(bench.raw(&arguments).status.success());
    let whole = began.elapsed();
    for n in 0..8 {
        bench.write("report.pdf", b"of yesterday");
        let mut command = bench.command(&arguments);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        // The last ones about when it is written.
        std::thread::sleep(whole.mul_f64(0.2 + 0.1 * f64::from(n)).max(Duration::from_millis(1)));
        let _ = child.kill();
        child.wait().unwrap();
        let there = bench.read("report.pdf");
        if there != b"of yesterday" {
            told("qpdf", &["--check"], &bench.path("report.pdf"), &[]);
        }
    }
    // And it can be made afterwards.
    bench.done(&arguments.join(" "));
    told("qpdf", &["--check"], &bench.path("report.pdf"), &[]);
}

#[cfg(target_os = "linux")]
mod on_a_small_disk {
    use super::furnish;
    use crate::bench::Bench;
    use crate::disk::Disk;

    /// The paper does not fit: that is told, nothing of it is left, and what was there stays.
    #[test]
    fn a_full_disk_is_told_and_leaves_the_old_paper() {
        let Some(disk) = Disk::of_mib(1) else { return };
        let bench = Bench::new();
        furnish(&bench, "Ada Berg");
        let out = disk.path().join("report.pdf");
        std::fs::write(&out, b"of yesterday").unwrap();
        let filler = disk.path().join("filler");
        let mut room = 1 << 20;
        while room > 4096 && std::fs::write(&filler, vec![0; room]).is_err() {
            room -= 4096;
        }
        let line = format!("paper 1 --kind report --out {}", out.display());
        let said = bench.run(&line);
        assert_eq!(said.status, 1, "{}", said.err);
        assert!(said.sentence().contains("check the folder and the free space"), "{}", said.err);
        assert_eq!(std::fs::read(&out).unwrap(), b"of yesterday");
        assert_eq!(std::fs::read_dir(disk.path()).unwrap().count(), 2);
        std::fs::remove_file(filler).unwrap();
        bench.done(&line);
        assert!(std::fs::read(&out).unwrap().starts_with(b"%PDF-"));
    }
}
