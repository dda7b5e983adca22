//! Archives that nobody should be able to hurt with: each is refused with a sentence that says what is
//! wrong.

use crate::archived::zipped;
use crate::given;
use archive::{Reader, Refused, check};
use sha2::{Digest, Sha256};
use std::io::{Cursor, Write};
use zip::CompressionMethod;
use zip::write::{FileOptions, SimpleFileOptions};

type File = (String, Vec<u8>);

fn refused(bytes: &[u8]) -> Refused {
    match Reader::open(Cursor::new(bytes)) {
        Err(refused) => refused,
        Ok(mut reader) => check(&mut reader, &mut |_, _| true).expect_err("it was taken"),
    }
}

fn says(bytes: &[u8], words: &str) {
    let refused = refused(bytes);
    let sentence = refused.to_string();
    assert!(sentence.contains(words), "{words:?} is not in {sentence:?}");
    assert!(sentence.ends_with('.') && !sentence.contains('\n'), "{sentence}");
}

/// The files of a good archive, changed, with a manifest that tells the truth of them.
fn told(change: impl FnOnce(&mut Vec<File>)) -> Vec<u8> {
    let mut files = given::files(&given::archive());
    change(&mut files);
    let mut manifest = manifest(&files);
    manifest["files"] = files
        .iter()
        .filter(|(path, _)| path != "manifest.json")
        .map(|(path, bytes)| {
            let sum = format!("{:x}", Sha256::digest(bytes));
            serde_json::json!({ "path": path, "bytes": bytes.len(), "sha256": sum })
        })
        .collect();
    put(&mut files, "manifest.json", manifest.to_string().as_bytes());
    zipped(&files)
}

fn manifest(files: &[File]) -> serde_json::Value {
    let (_, bytes) = files.iter().find(|(path, _)| path == "manifest.json").unwrap();
    serde_json::from_slice(bytes).unwrap()
}

fn put(files: &mut Vec<File>, path: &str, bytes: &[u8]) {
    files.retain(|(own, _)| own != path);
    files.push((path.to_owned(), bytes.to_vec()));
}

/// One text in one file for another.
fn instead(path: &str, from: &str, to: &str) -> Vec<u8> {
    told(|files| {
        let (_, bytes) = files.iter_mut().find(|(own, _)| own == path).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.contains(from), "{text}");
        *bytes = text.replacen(from, to, 1).into_bytes();
    })
}

/// A good archive with another manifest.
fn managed(change: impl FnOnce(&mut serde_json::Value)) -> Vec<u8> {
    let mut files = given::files(&given::archive());
    let mut manifest = manifest(&files);
    change(&mut manifest);
    put(&mut files, "manifest.json", manifest.to_string().as_bytes());
    zipped(&files)
}

#[test]
fn a_good_one_is_taken() {
    let good = told(|_| {});
    let mut reader = Reader::open(Cursor::new(&good)).unwrap();
    check(&mut reader, &mut |_, _| true).unwrap();
    // And stopped, where somebody stops it.
    assert_eq!(check(&mut reader, &mut |_, _| false), Err(Refused::Stopped));
}

#[test]
fn what_is_no_zip_is_refused() {
    assert_eq!(refused(b""), Refused::NoZip);
    assert_eq!(refused(b"PK"), Refused::NoZip);
    assert_eq!(refused(&[0; 4_000]), Refused::NoZip);
    assert_eq!(refused(b"<html>I am an archive, really</html>"), Refused::NoZip);
    assert_eq!(
        refused(&zipped(&[("a.txt".to_owned(), vec![1])])),
        Refused::Extra("“a.txt”".into())
    );
    assert_eq!(refused(&zipped(&[])), Refused::NoManifest);
}

#[test]
fn what_is_cut_short_is_refused_wherever() {
    let whole = given::archive();
    for length in (0..whole.len()).step_by(7) {
        let refused = refused(&whole[..length]);
        let damaged = matches!(refused, Refused::NoZip | Refused::Damaged(_));
        assert!(damaged, "{length}: {refused:?}");
    }
    // The same with something behind it, or before it.
    says(&[&whole[..], b"more"].concat(), "cut short");
    let before = [b"#!/bin/sh\n", &whole[..]].concat();
    let refused = refused(&before);
    assert!(matches!(refused, Refused::Odd(_) | Refused::Damaged(_) | Refused::NoZip), "{refused}");
}

/// Bytes of it all over, each by itself: taken only where that byte says nothing.
#[test]
fn no_byte_can_be_changed_in_silence() {
    let whole = given::archive();
    let before = given::files(&whole);
    for place in (0..whole.len()).step_by(11) {
        let mut changed = whole.clone();
        changed[place] ^= 0x24;
        if let Ok(mut reader) = Reader::open(Cursor::new(&changed))
            && check(&mut reader, &mut |_, _| true).is_ok()
        {
            let same: Vec<_> = given::files(&changed).into_iter().map(|(_, bytes)| bytes).collect();
            let was: Vec<_> = before.iter().map(|(_, bytes)| bytes.clone()).collect();
            assert_eq!(same, was, "at {place}");
        }
    }
}

#[test]
fn files_that_are_missing_added_or_changed_are_told() {
    let mut files = given::files(&given::archive());
    files.retain(|(path, _)| path != "data/job-0001.jsonl");
    says(&zipped(&files), "data/job-0001.jsonl is missing");
    let mut files = given::files(&given::archive());
    put(&mut files, "data/part-0002.jsonl", b"");
    says(&zipped(&files), "data/part-0002.jsonl, which does not stand in its manifest");
    let mut files = given::files(&given::archive());
    let (_, bytes) = files.iter_mut().find(|(path, _)| path == "data/job-0001.jsonl").unwrap();
    *bytes = bytes.iter().map(|byte| if *byte == b'7' { b'8' } else { *byte }).collect();
    says(&zipped(&files), "data/job-0001.jsonl is not what its manifest says");
    // A photo that no record names, and one that is named and not there.
    let other = [&[0xff, 0xd8, 0xff], &b"another"[..]].concat();
    let path = format!("photos/{}.jpg", given::hash(&other));
    says(&told(|files| put(files, &path, &other)), "belongs to no record");
    let path = format!("photos/{}.jpg", given::hash(given::PHOTO));
    let without = told(|files| files.retain(|(own, _)| *own != path));
    says(&without, &format!("{path} is missing"));
    // The number of a file that is left out.
    let gap = told(|files| {
        for (path, _) in files {
            *path = path.replace("data/job-0001", "data/job-0002");
        }
    });
    says(&gap, "data/job-0001.jsonl is missing");
}

#[test]
fn names_that_lead_elsewhere_are_refused() {
    for name in [
        "../escape.jsonl",
        "data/../../escape.jsonl",
        "/etc/passwd",
        "C:\\windows\\evil",
        "data\\owner-0001.jsonl",
        "DATA/owner-0001.jsonl",
        "data/Owner-0001.jsonl",
        "data/owner-1.jsonl",
        "data/owner-00001.jsonl",
        "data/device-0001.jsonl",
        "data//owner-0001.jsonl",
        "./data/owner-0001.jsonl",
        "data/owner-0001.jsonl ",
        "tables/other-0001.csv",
        "sounds/0123.flac",
        "photos/../photos/x.jpg",
        "a\u{202e}gpj.exe",
        "line\nbreak",
    ] {
        let refused = refused(&told(|files| put(files, name, b"{}")));
        assert!(matches!(refused, Refused::Extra(_)), "{name}: {refused:?}");
    }
}

/// A zip made by hand, one file after the other.
fn by_hand(make: impl FnOnce(&mut zip::ZipWriter<Cursor<Vec<u8>>>)) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    make(&mut zip);
    zip.finish().unwrap().into_inner()
}

#[test]
fn what_is_no_ordinary_file_is_refused() {
    let options = SimpleFileOptions::default();
    let linked = by_hand(|zip| {
        zip.add_symlink("data/owner-0001.jsonl", "/etc/passwd", options).unwrap();
    });
    says(&linked, "is no ordinary file");
    let folder = by_hand(|zip| zip.add_directory("data", options).unwrap());
    assert!(matches!(refused(&folder), Refused::Extra(_)));
    // The bit that says that it is encrypted (APPNOTE 4.4.4), in both places.
    let mut encrypted = zipped(&[("data/owner-0001.jsonl".to_owned(), b"{}".to_vec())]);
    encrypted[6] |= 1;
    let directory = encrypted.windows(4).position(|four| four == b"PK\x01\x02").unwrap();
    encrypted[directory + 8] |= 1;
    says(&encrypted, "is encrypted");
}

#[test]
fn a_file_that_stands_there_twice_is_refused() {
    // Two names of one length, of which one is then written over the other.
    let mut files = given::files(&given::archive());
    files.push(("data/owner-0002.jsonl".into(), b"{}".to_vec()));
    let mut twice = zipped(&files);
    let name = b"data/owner-0002.jsonl";
    while let Some(at) = twice.windows(name.len()).position(|some| some == name) {
        twice[at..at + name.len()].copy_from_slice(b"data/owner-0001.jsonl");
    }
    says(&twice, "a file stands in it twice");
}

fn deflated<'k>() -> FileOptions<'k, 'k, ()> {
    SimpleFileOptions::default().compression_method(CompressionMethod::Deflated)
}

#[test]
fn bombs_are_not_unpacked() {
    // A gigabyte of nothing in a megabyte.
    let bomb = by_hand(|zip| {
        zip.start_file("data/owner-0001.jsonl", deflated()).unwrap();
        let block = vec![b' '; 1 << 20];
        (0..64).for_each(|_| zip.write_all(&block).unwrap());
    });
    says(&bomb, "unpacks to more than 100 times its size");
    // One that lies about how large it is.
    let mut lying = by_hand(|zip| {
        zip.start_file("data/owner-0001.jsonl", deflated()).unwrap();
        zip.write_all(&[b' '; 100_000]).unwrap();
    });
    for (size, from) in [(22, 0), (24, lying.len())] {
        let at = if from == 0 {
            size
        } else {
            lying.windows(4).rposition(|four| four == b"PK\x01\x02").unwrap() + size
        };
        lying[at..at + 4].copy_from_slice(&9_000_u32.to_le_bytes());
    }
    let refused = refused(&lying);
    assert!(matches!(refused, Refused::NoManifest | Refused::Damaged(_)), "{refused:?}");
    // One whose end says that it has very many files.
    let mut many = given::archive();
    let end = many.len() - 22;
    many[end + 8..end + 12].copy_from_slice(&[0xff; 4]);
    let refused = self::refused(&many);
    assert!(matches!(refused, Refused::Odd(_) | Refused::Damaged(_)), "{refused:?}");
    // A zip in place of a picture: nothing looks into it.
    let nested = told(|files| {
        let path = format!("photos/{}.jpg", given::hash(b"PK\x03\x04 bomb"));
        put(files, &path, b"PK\x03\x04 bomb");
    });
    says(&nested, "belongs to no record");
    // A sound that is packed.
    let packed = by_hand(|zip| {
        let path = format!("sounds/{}.flac", given::hash(given::SOUND));
        zip.start_file(path, deflated()).unwrap();
        zip.write_all(given::SOUND).unwrap();
    });
    says(&packed, "is packed in another way");
}

#[test]
fn two_files_may_not_share_their_bytes() {
    // The second's entry in the list points to where the first begins.
    let mut files = zipped(&[
        ("data/owner-0001.jsonl".to_owned(), vec![b'x'; 50]),
        ("data/owner-0002.jsonl".to_owned(), vec![b'x'; 50]),
    ]);
    let second = files.windows(4).rposition(|four| four == b"PK\x01\x02").unwrap();
    files[second + 42..second + 46].copy_from_slice(&[0; 4]);
    let refused = refused(&files);
    assert!(matches!(refused, Refused::Odd(_) | Refused::Damaged(_)), "{refused:?}");
}

#[test]
fn other_schemas_and_manifests_are_refused() {
    says(&managed(|m| m["schema"] = "endshake.archive/2".into()), "use the version that wrote it");
    says(&managed(|m| m["schema"] = "endshake.log/1".into()), "endshake.log/1");
    says(&managed(|m| m["more"] = true.into()), "unknown field `more`");
    says(&managed(|m| m["files"] = 3.into()), "cannot be read");
    says(&managed(|m| m["counts"]["job"] = 2.into()), "counts other things");
    says(&managed(|m| m["files"][0]["bytes"] = 1.into()), "is not what its manifest says");
    says(&managed(|m| m["files"][0]["sha256"] = "00".into()), "is not what its manifest says");
    says(
        &managed(|m| {
            let twice = m["files"][0].clone();
            m["files"].as_array_mut().unwrap().push(twice);
        }),
        "is missing",
    );
    let mut files = given::files(&given::archive());
    put(&mut files, "manifest.json", "[".repeat(50_000).as_bytes());
    says(&zipped(&files), "manifest of this archive cannot be read");
    put(&mut files, "manifest.json", b"\xff\xfe");
    says(&zipped(&files), "manifest of this archive cannot be read");
}

#[test]
fn lines_that_cannot_be_taken_are_told_with_their_place() {
    let job = "data/job-0001.jsonl";
    let reading = "data/reading-0001.jsonl";
    for (path, from, to, words) in [
        (job, "\"number\":7", "\"number\":7e999", "line 1"),
        (job, "\"number\":7", "\"number\":-7", "line 1"),
        (job, "\"number\":7", "\"number\":0", "has no number"),
        (job, "\"version\":3", "\"version\":0", "no count of versions"),
        (job, "\"version\":3", "\"version\":3,\"more\":1", "unknown field `more`"),
        (job, "\"order\":3", "\"order\":2", "order"),
        (job, "\"order\":3", "\"order\":99999999999999", "order"),
        (job, "\"created_ms\":17", "\"created_ms\":999917", "no moment of a calendar"),
        (job, "\"due\":null", "\"due\":\"2026-13-01\"", "a day is written as"),
        (job, "\"to\":\"intake\"", "\"to\":\"polish\"", "no such word"),
        (job, "\"complaint\":\"", "\"complaint\":\"\\u0007", "control character"),
        (job, "000000000002", "000000000009", "is not in the archive"),
        (job, "00000000-0000-0000-0000-000000000002", "1", "an id is a UUID"),
        (job, "{", &"[".repeat(50_000), "line 1"),
        (job, "{", "\u{feff}{", "line 1"),
        (job, "\"deleted_ms\":null", "\"deleted_ms\":1", "belongs to is in the bin"),
        (reading, "30.25", "1e999", "line 1"),
        (reading, "30.25", "NaN", "line 1"),
        (reading, "30.25", "null", "line 1"),
        (reading, "30.25", "-30.25", "outside"),
        (reading, "\"6H\"", "\"7H\"", "no such word"),
        ("data/log_entry-0001.jsonl", "turned", "turned_over", "the entry cannot be read"),
        ("data/log_entry-0001.jsonl", "000000000003", "000000000002", "is not in the archive"),
        ("data/photo-0001.jsonl", "\"width_px\":4", "\"width_px\":0", "outside"),
        ("data/photo-0001.jsonl", "\"width_px\":4", "\"width_px\":99999999999", "line 1"),
        ("data/clock-0001.jsonl", "\"sd_ppm\":0.01", "\"sd_ppm\":-0.01", "must be numbers"),
        ("data/change-0001.jsonl", "\"created\"", "\"burnt\"", "no such action"),
        (
            "data/change-0001.jsonl",
            "\"subject\":\"job\"",
            "\"subject\":\"device\"",
            "no such thing",
        ),
        ("data/setting-0001.jsonl", "\"key\":\"tolerance\"", "\"key\":\"\"", "no key"),
        (
            "data/bottle-0001.jsonl",
            "\"deleted_with\":null",
            "\"deleted_with\":\"00000000-0000-0000-0000-000000000001\"",
            "is not there",
        ),
    ] {
        says(&instead(path, from, to), words);
    }
    let long = format!("\"complaint\":\"{}", "x".repeat(20_001));
    says(&instead(job, "\"complaint\":\"", &long), "characters");
    let twice = told(|files| {
        let (_, bytes) = files.iter_mut().find(|(path, _)| path == job).unwrap();
        let again =
            String::from_utf8(bytes.clone()).unwrap().replace("\"order\":3", "\"order\":30");
        bytes.extend_from_slice(again.as_bytes());
    });
    says(&twice, "line 2: the id 00000000-0000-0000-0000-000000000003 stands here twice");
    // A record of one kind in the file of another.
    let wrong = told(|files| {
        let owner =
            files.iter().find(|(path, _)| path == "data/owner-0001.jsonl").unwrap().1.clone();
        put(files, job, &owner);
    });
    says(&wrong, "unknown field");
}

#[test]
fn media_that_are_not_what_they_claim_are_refused() {
    for bytes in [
        &b"<html><script>alert(1)</script>"[..],
        b"<?xml version=\"1.0\"?><svg xmlns=\"http://www.w3.org/2000/svg\"/>",
        b"GIF89a",
        b"\x89PNG\r\n\x1a\n",
        b"\xff\xd8",
        b"",
    ] {
        let was = given::hash(given::PHOTO).to_string();
        let now = given::hash(bytes).to_string();
        let other = told(|files| {
            let path = format!("photos/{was}.jpg");
            files.retain(|(own, _)| *own != path);
            put(files, &format!("photos/{now}.jpg"), bytes);
            let photos =
                files.iter_mut().find(|(path, _)| path == "data/photo-0001.jsonl").unwrap();
            let text = String::from_utf8(photos.1.clone()).unwrap();
            photos.1 = text.replace(&was, &now).into_bytes();
        });
        says(&other, "is no JPEG picture");
    }
    // Under a name that is not its content's.
    let path = format!("photos/{}.jpg", given::hash(given::PHOTO));
    let renamed = told(|files| put(files, &path, &[0xff, 0xd8, 0xff, 9]));
    says(&renamed, "is not what its manifest says");
    // A photo that a reading claims as its sound.
    let sound = given::hash(given::SOUND).to_string();
    let photo = given::hash(given::PHOTO).to_string();
    says(&instead("data/reading-0001.jsonl", &sound, &photo), "is missing");
}
