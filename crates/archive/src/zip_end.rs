//! The end of a zip file, looked at before anything is made of the rest: how many files it says that
//! it has. By the records of PKWARE's APPNOTE.TXT 6.3.10: 4.3.16 (end of central directory), 4.3.15
//! and 4.3.14 (zip64).

use crate::refused::Refused;
use std::io::{Read, Seek, SeekFrom};

const END: [u8; 4] = *b"PK\x05\x06";
const END_BYTES: u64 = 22;
const LOCATOR: [u8; 4] = *b"PK\x06\x07";
const LOCATOR_BYTES: u64 = 20;
const END_64: [u8; 4] = *b"PK\x06\x06";
const FIRST: [u8; 4] = *b"PK\x03\x04";

/// How many files there are, as the end says, and how long the whole is.
pub(crate) fn files(from: &mut (impl Read + Seek)) -> Result<(u64, u64), Refused> {
    let unreadable = |error: std::io::Error| Refused::Unreadable(error.to_string());
    let length = from.seek(SeekFrom::End(0)).map_err(unreadable)?;
    let mut head = [0; 4];
    let begins = length >= 4 && read_at(from, 0, &mut head).is_ok() && head == FIRST;
    let no = || if begins { Refused::Damaged("its end is missing".into()) } else { Refused::NoZip };
    let at = length.checked_sub(END_BYTES).ok_or_else(no)?;
    let mut end = [0; END_BYTES as usize];
    read_at(from, at, &mut end).map_err(unreadable)?;
    // No comment, so it is the very last.
    if end[..4] != END || end[20..] != [0, 0] {
        return Err(no());
    }
    let few = u64::from(u16::from_le_bytes([end[10], end[11]]));
    let mut locator = [0; LOCATOR_BYTES as usize];
    let has_64 = match at.checked_sub(LOCATOR_BYTES) {
        Some(before) => {
            read_at(from, before, &mut locator).map_err(unreadable)?;
            locator[..4] == LOCATOR
        }
        None => false,
    };
    if !has_64 {
        return Ok((few, length));
    }
    let place = u64::from_le_bytes(eight(&locator[8..16]));
    let mut end_64 = [0; 40];
    if place > at || read_at(from, place, &mut end_64).is_err() || end_64[..4] != END_64 {
        return Err(Refused::Damaged("its list of files is not where it should be".into()));
    }
    Ok((u64::from_le_bytes(eight(&end_64[32..40])), length))
}

fn read_at(from: &mut (impl Read + Seek), at: u64, into: &mut [u8]) -> std::io::Result<()> {
    from.seek(SeekFrom::Start(at))?;
    from.read_exact(into)
}

fn eight(bytes: &[u8]) -> [u8; 8] {
    std::array::from_fn(|n| bytes.get(n).copied().unwrap_or_default())
}
