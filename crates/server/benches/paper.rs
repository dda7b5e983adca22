//! The report of a job with 20 photos of 12 megapixels and readings before and after: gathered, its
//! photos made as small as they are printed, laid out and printed, nothing of it held from before. The
//! aim is 2 s; `docs/speed.md` tells what it takes.

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};
use jobs::{BalanceReading, Job, JobId, Moment, Photo, Reading, ReadingSettings, Watch};
use quantities::{Measured, Position};
use server::PaperAsked;
use server::wire::PaperKind;
use std::time::Duration;
use store::{By, Places, Store};
use tokio::runtime::Runtime;

const PHOTOS: u32 = 20;
/// 12 megapixels as cameras have them.
const PHOTO_PX: (u32, u32) = (4_000, 3_000);

/// A picture with edges and grain all over it, as a movement has: a plain one would be decoded in no
/// time.
fn photo(seed: u32) -> Vec<u8> {
    let mut state = seed.wrapping_mul(2_654_435_761).max(1);
    let image = RgbImage::from_fn(PHOTO_PX.0, PHOTO_PX.1, |x, y| {
        // Marsaglia's xorshift, for grain.
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let ring = ((x * x + y * y) / 40_000) % 200;
        let shade = |base: u32| (base + ring / 2 + state % 24).min(255) as u8;
        Rgb([shade(90), shade(80), shade(60)])
    });
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 88).encode_image(&image).unwrap();
    jpeg
}

fn reading(job: JobId, hours: i64, position: Position, rate_s_per_d: f64) -> Reading {
    Reading {
        job,
        position: Some(position),
        wind: "full".into(),
        taken: Moment::from_ms(1_770_000_000_000 + hours * 3_600_000),
        duration_s: 60.0,
        device: "pickup".into(),
        settings: ReadingSettings::default(),
        program: String::new(),
        sound: None,
        balances: vec![BalanceReading {
            label: "A".into(),
            beats_per_hour: Some(28_800.0),
            rate_s_per_d: Some(Measured::new(rate_s_per_d, 0.3)),
            rate_sd_with_clock_s_per_d: Some(0.3),
            amplitude_deg: Some(Measured::new(280.0, 2.0)),
            beats_used: 480,
            beats_expected: 480,
            ..BalanceReading::default()
        }],
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    }
}

/// A store with the job, and the job's id.
async fn made(places: &Places) -> (Store, String) {
    let store = Store::open(places).await.unwrap();
    let at = Moment::from_ms(1_770_000_000_000);
    let by = By::at("bench", at);
    let watch = Watch { description: "wrist watch, steel".into(), ..Watch::default() };
    let watch = store.create(&by, watch).await.unwrap();
    let job = store.create(&by, Job::begun(watch.id, "stops at night", at)).await.unwrap();
    for n in 0..PHOTOS {
        let media = store.put_media(photo(n + 1).into()).await.unwrap();
        let (width_px, height_px) = PHOTO_PX;
        let caption = format!("bridge {n}");
        let photo = Photo { job: job.id, media, caption, width_px, height_px, taken: at };
        store.create(&by, photo).await.unwrap();
    }
    let places =
        [Position::CH, Position::FH, Position::H12, Position::H3, Position::H6, Position::H9];
    let readings = places.into_iter().flat_map(|position| {
        [reading(job.id, 1, position, 30.0), reading(job.id, 60, position, 4.0)]
    });
    store.create_all(&by, readings.collect()).await.unwrap();
    (store, job.id.to_string())
}

fn paper(c: &mut Criterion) {
    let runtime = Runtime::new().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (store, job) = runtime.block_on(made(&Places::in_folder(folder.path())));
    let asked = |photos| PaperAsked {
        job: job.clone(),
        kind: PaperKind::Report,
        colleague: true,
        paper: None,
        photos,
        drawings: true,
    };
    let mut group = c.benchmark_group("paper");
    group.sample_size(10).measurement_time(Duration::from_secs(20));
    for (name, photos) in
        [("a report with 20 photos of 12 megapixels", true), ("the same without photos", false)]
    {
        let asked = asked(photos);
        group.bench_function(name, |b| {
            b.iter(|| {
                let made = runtime.block_on(server::paper(&store, &asked, |_| true));
                let made = made.unwrap().unwrap();
                assert!(made.pages >= if photos { 5 } else { 1 }, "{}", made.pages);
            });
        });
    }
    group.finish();
    runtime.block_on(store.close());
}

criterion_group!(benches, paper);
criterion_main!(benches);
