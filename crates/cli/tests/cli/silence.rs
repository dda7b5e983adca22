//! Hours of silence as a small FLAC file, laid out by hand (RFC 9639).

/// Samples of one frame.
const BLOCK: u64 = 4_096;

/// CRC with this polynomial, from the highest bit on (RFC 9639, 9.1.8 and 9.3).
fn crc(bytes: &[u8], bits: u32, polynomial: u32) -> u32 {
    let top = 1 << (bits - 1);
    let mut sum = 0u32;
    for byte in bytes {
        sum ^= u32::from(*byte) << (bits - 8);
        for _ in 0..8 {
            sum = if sum & top != 0 { sum << 1 ^ polynomial } else { sum << 1 };
        }
    }
    sum & (top | (top - 1))
}

/// A frame's number (RFC 9639, 9.1.5), below 2^21.
fn number(n: u32) -> Vec<u8> {
    let last = |shift: u32| 0x80 | (n >> shift & 0x3f) as u8;
    match n {
        0..0x80 => vec![n as u8],
        0x80..0x800 => vec![0xc0 | (n >> 6) as u8, last(0)],
        0x800..0x1_0000 => vec![0xe0 | (n >> 12) as u8, last(6), last(0)],
        _ => vec![0xf0 | (n >> 18) as u8, last(12), last(6), last(0)],
    }
}

/// So many hours of one channel at 48 kHz, 16 bits.
pub(crate) fn flac_of_silence(hours: f64) -> Vec<u8> {
    // Stream information: blocks of 4,096 samples, lengths of frames and of the whole unknown, 48,000
    // samples a second, one channel, 16 bits, no checksum (8.2).
    let mut bytes = b"fLaC\x80\0\0\x22\x10\0\x10\0\0\0\0\0\0\0\x0b\xb8\0\xf0\0\0\0\0".to_vec();
    bytes.extend([0; 16]);
    let frames = (hours * 3_600.0 * 48_000.0) as u64 / BLOCK;
    for n in 0..u32::try_from(frames).unwrap() {
        // Blocks of one size, 4,096; rate and bits as above; one channel (9.1).
        let mut frame = vec![0xff, 0xf8, 0xc0, 0x00];
        frame.extend(number(n));
        frame.push(crc(&frame, 8, 0x07) as u8);
        // A constant subframe: zero (9.2.3).
        frame.extend([0, 0, 0]);
        frame.extend((crc(&frame, 16, 0x8005) as u16).to_be_bytes());
        bytes.extend(frame);
    }
    bytes
}
