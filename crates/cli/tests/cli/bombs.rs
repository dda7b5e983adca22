//! What is small on its way and large in memory, and what is large on its way: refused, with the
//! memory of the program as it was. A program of its own, so that nobody else's memory counts.

use crate::bench::Bench;
use crate::served::{Page, Served};
use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};
use std::io::{Cursor, Read, Write};
use std::net::TcpStream;

/// Bytes that half a gibibyte of zeros becomes, and what a bomb bursts into.
const BURST: usize = 512 << 20;
/// More than any of this may take on top of what an ordinary photo takes: a form of 40 MB, held
/// once as it grows and once whole, and what a decoder sets aside. A bomb would take 512.
const MORE_MIB: f64 = 200.0;

/// Bits as DEFLATE packs them, from the least one up (RFC 1951, 3.1.1).
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    many: usize,
}

impl Bits {
    fn put(&mut self, bits: &str) {
        for bit in bits.bytes() {
            if self.many.is_multiple_of(8) {
                self.bytes.push(0);
            }
            if bit == b'1' {
                *self.bytes.last_mut().unwrap() |= 1 << (self.many % 8);
            }
            self.many += 1;
        }
    }
}

/// So many zeros and a few more, deflated: one block of fixed codes (RFC 1951, 3.2.6) with a zero and
/// then "258 times what stands one place before", 13 bits each.
fn deflated_zeros(many: usize) -> Vec<u8> {
    let mut eight = Bits::default();
    for _ in 0..8 {
        // Length 258 is code 285, 8 bits; distance 1 is code 0, 5 bits.
        eight.put("1100010100000");
    }
    // A head of whole bytes, so that the rest can be repeated by bytes: final block, fixed codes, a
    // zero (8 bits, 00110000) and a match: 24 bits.
    let mut head = Bits::default();
    head.put("1");
    head.put("10");
    head.put("00110000");
    head.put("1100010100000");
    assert_eq!(head.many % 8, 0);
    let mut bytes = head.bytes;
    for _ in 0..many.div_ceil(8 * 258) {
        bytes.extend_from_slice(&eight.bytes);
    }
    // End of block, 7 bits of nothing.
    bytes.push(0);
    bytes
}

fn png(side: u32) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    RgbImage::new(side, side).write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

fn encoded(format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    RgbImage::new(16, 16).write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// CRC-32 as PNG has it (ISO 3309), bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

/// A PNG with one more chunk behind its header (PNG, third edition, 5.3).
fn png_with(kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let whole = png(16);
    // Signature 8, header 25 bytes.
    let (head, rest) = whole.split_at(33);
    let mut chunk = kind.to_vec();
    chunk.extend_from_slice(content);
    let mut bytes = head.to_vec();
    bytes.extend_from_slice(&u32::try_from(content.len()).unwrap().to_be_bytes());
    bytes.extend_from_slice(&chunk);
    bytes.extend_from_slice(&crc32(&chunk).to_be_bytes());
    bytes.extend_from_slice(rest);
    bytes
}

/// zlib around it (RFC 1950, 2.2); the checksum at its end is wrong, and stands behind the burst.
fn zlib(many: usize) -> Vec<u8> {
    let mut bytes = vec![0x78, 0x01];
    bytes.extend(deflated_zeros(many));
    bytes.extend([0; 4]);
    bytes
}

/// gzip around it (RFC 1952, 2.3).
fn gzip(many: usize) -> Vec<u8> {
    let mut bytes = vec![0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 255];
    bytes.extend(deflated_zeros(many));
    bytes.extend([0; 8]);
    bytes
}

/// Width and height as each format has them in its head.
fn of_declared_size(format: ImageFormat, side: u16) -> Vec<u8> {
    let mut bytes = encoded(format);
    match format {
        ImageFormat::Png => {
            for at in [16, 20] {
                bytes[at..at + 4].copy_from_slice(&u32::from(side).to_be_bytes());
            }
            let sum = crc32(&bytes[12..29]);
            bytes[29..33].copy_from_slice(&sum.to_be_bytes());
        }
        ImageFormat::Jpeg => {
            // Start of frame: marker, length, precision, lines, samples (ITU-T T.81, B.2.2).
            let at = bytes.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
            for at in [at + 5, at + 7] {
                bytes[at..at + 2].copy_from_slice(&side.to_be_bytes());
            }
        }
        ImageFormat::WebP => {
            // Lossless: a signature byte, then 14 bits each of width and height less one (RFC 9649,
            // 3.4).
            let at = bytes.windows(4).position(|four| four == b"VP8L").unwrap() + 9;
            let less_one = u32::from(side.min(16_384) - 1);
            let both = less_one | less_one << 14 | u32::from(bytes[at + 3] >> 4) << 28;
            bytes[at..at + 4].copy_from_slice(&both.to_le_bytes());
        }
        other => panic!("{other:?}"),
    }
    bytes
}

fn code(answer: &Value) -> &str {
    answer["error"]["code"].as_str().unwrap_or_default()
}

/// A gigabyte as a photo, said to be one or not; gives how many MiB went out before it was refused.
fn send_a_gigabyte(page: &Page, port: u16, job: &str, length: &str) -> u32 {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let head = format!(
        "POST /api/v1/jobs/{job}/photos HTTP/1.1\r\nHost: localhost:{port}\r\n{length}\r\n\
         Content-Type: multipart/form-data; boundary=x\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(head.as_bytes()).unwrap();
    let chunked = length.starts_with("Transfer");
    let mut put = |bytes: &[u8]| -> std::io::Result<()> {
        if chunked {
            write!(stream, "{:x}\r\n", bytes.len())?;
        }
        stream.write_all(bytes)?;
        if chunked { stream.write_all(b"\r\n") } else { Ok(()) }
    };
    let start = b"--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\n";
    let block = vec![0xffu8; 1 << 20];
    let mut sent = 0;
    if put(start).is_ok() {
        while sent < 1_024 && put(&block).is_ok() {
            sent += 1;
        }
    }
    let mut answer = String::new();
    // Where the connection was reset, its last words may be lost.
    if stream.read_to_string(&mut answer).is_ok() && !answer.is_empty() {
        assert!(answer.starts_with("HTTP/1.1 413"), "{length}: {answer}");
    }
    // Others are served as before.
    assert_eq!(page.get("/jobs").unwrap().0, 200);
    sent
}

#[test]
fn nothing_bursts_the_memory() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    let (page, port) = (served.page(), served.port());
    let job = page.job().unwrap();
    assert_eq!(page.send_photo(&job, &png(2_000)).unwrap().0, 201);
    let before = served.most_memory_mib();

    // Pictures that say that they are larger than any camera makes.
    for (format, side) in
        [(ImageFormat::Png, 60_000), (ImageFormat::Jpeg, 65_500), (ImageFormat::WebP, 16_384)]
    {
        let (status, answer) = page.send_photo(&job, &of_declared_size(format, side)).unwrap();
        assert_eq!((status, code(&answer)), (415, "not_a_photo"), "{format:?}: {answer}");
    }
    // And such as say that they are large, and hold nothing.
    for format in [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::WebP] {
        let (status, answer) = page.send_photo(&job, &of_declared_size(format, 1_500)).unwrap();
        // A decoder may take missing parts for grey ones.
        assert!(status == 201 || code(&answer) == "not_a_photo", "{format:?}: {answer}");
    }
    // What stands beside a picture and bursts: a colour profile, a comment.
    let profile = [&b"p\0\0"[..], &zlib(BURST)].concat();
    let comment = [&b"Comment\0\0"[..], &zlib(BURST)].concat();
    for (kind, content) in [(b"iCCP", profile), (b"zTXt", comment)] {
        let (status, answer) = page.send_photo(&job, &png_with(kind, &content)).unwrap();
        // The picture itself is well: what is beside it is passed over.
        assert!(status == 201 || code(&answer) == "not_a_photo", "{kind:?}: {answer}");
    }
    // A picture whose own data bursts into more than its size.
    let small = png(16);
    let at = small.windows(4).position(|four| four == b"IDAT").unwrap();
    let mut bursting = small[..at - 4].to_vec();
    let mut chunk = b"IDAT".to_vec();
    chunk.extend(zlib(BURST));
    bursting.extend(u32::try_from(chunk.len() - 4).unwrap().to_be_bytes());
    bursting.extend_from_slice(&chunk);
    bursting.extend(crc32(&chunk).to_be_bytes());
    bursting.extend_from_slice(b"\0\0\0\0IEND\xae\x42\x60\x82");
    let (status, answer) = page.send_photo(&job, &bursting).unwrap();
    assert!(status == 201 || code(&answer) == "not_a_photo", "{answer}");
    // What is packed is not unpacked: not as a photo, not as a request.
    let packed = gzip(BURST);
    let (status, answer) = page.send_photo(&job, &packed).unwrap();
    assert_eq!((status, code(&answer)), (415, "not_a_photo"));
    let short = gzip(64 << 20);
    assert!(short.len() < 1 << 20);
    let told = [("content-type", "application/json"), ("content-encoding", "gzip")];
    let (status, answer) = page.post_bytes("/owners", &told, &short).unwrap();
    assert_eq!((status, code(&answer)), (422, "invalid"), "{answer}");
    // Refused by its length, before it is read: who is still sending may hear no answer.
    if let Some((status, answer)) = page.post_bytes("/owners", &told, &packed) {
        assert_eq!((status, code(&answer)), (413, "too_large"), "{answer}");
    }
    // Brackets within brackets.
    let deep = "[".repeat(500_000);
    let (status, answer) = page.post_bytes("/owners", &told[..1], deep.as_bytes()).unwrap();
    assert_eq!((status, code(&answer)), (422, "invalid"), "{answer}");

    for length in ["Content-Length: 1073741824", "Transfer-Encoding: chunked"] {
        let sent = send_a_gigabyte(&page, port, &job, length);
        assert!(sent < 256, "{length}: {sent} MiB went out before anybody said no");
    }

    if let (Some(before), Some(after)) = (before, served.most_memory_mib()) {
        println!("{before:.0} MiB before, {after:.0} MiB after");
        assert!(after - before < MORE_MIB, "{before} MiB before, {after} MiB after");
    }
    let owners = page.get("/owners").unwrap().1;
    assert_eq!(owners["owners"], json!([]), "{owners}");
    assert_eq!(served.end(), Some(0));
    assert_eq!(bench.run("check --data shop").status, 0);
}
