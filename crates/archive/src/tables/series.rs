//! The series behind the numbers of readings as tables for other programs. An archive keeps the sounds and
//! not these: whoever wants them hears the sounds again, for all of them are many times as long as all else
//! in an archive.

use super::held::{Files, Held, Layout};
use super::set::{Cell, Of};
use crate::writer::Unwritten;
use jobs::ReadingId;
use quantities::Measured;

/// Rows of a file: bounds what is held, not what can be read.
const FULL: usize = 50_000;

/// A row for each beat of each balance; in recordings of hours, for each group of neighbouring beats.
const BEATS: Layout = Layout {
    name: "beats",
    columns: &[
        ("reading_id", Of::Text),
        ("balance", Of::Text),
        ("time_s", Of::Real),
        ("gain_ms", Of::Real),
        ("residual_ms", Of::Real),
        ("side", Of::Text),
        ("used", Of::Whole),
    ],
};

/// A row for each point of what changes within a recording.
const COURSES: Layout = Layout {
    name: "courses",
    columns: &[
        ("reading_id", Of::Text),
        ("balance", Of::Text),
        ("of", Of::Text),
        ("time_s", Of::Real),
        ("value", Of::Real),
        ("sd", Of::Real),
    ],
};

/// A row for each value of each averaged beat.
const AVERAGED: Layout = Layout {
    name: "averaged_beats",
    columns: &[
        ("reading_id", Of::Text),
        ("balance", Of::Text),
        ("side", Of::Text),
        ("at_ms", Of::Real),
        ("mean", Of::Real),
        ("spread", Of::Real),
    ],
};

/// One beat, or group of neighbouring beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beat {
    /// When, seconds from the start.
    pub time_s: f64,
    /// How far the watch is ahead of the beat that it is made for, milliseconds.
    pub gain_ms: f64,
    /// What is left of it without rate and beat error, milliseconds.
    pub residual_ms: f64,
    /// `tick` or `tock`.
    pub side: &'static str,
    /// Whether it counts in the rate.
    pub used: bool,
}

/// Series of one balance.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceSeries<'a> {
    /// Its letter.
    pub label: &'a str,
    /// Its beats.
    pub beats: Vec<Beat>,
    /// Amplitude against time: seconds from the start, degrees.
    pub amplitude_deg: Vec<(f64, Measured)>,
    /// Rate against time: seconds from the start, seconds per day.
    pub rate_s_per_d: Vec<(f64, Measured)>,
    /// Averaged beats: `tick` or `tock`, and for each value its time in milliseconds from the beat's instant,
    /// the loudness and its spread from beat to beat, both in parts of the loudest.
    pub averaged_beats: Vec<(&'static str, Vec<[f64; 3]>)>,
}

/// How many rows there are of each table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SeriesRows {
    /// Beats.
    pub beats: u64,
    /// Points of courses.
    pub courses: u64,
    /// Values of averaged beats.
    pub averaged_beats: u64,
}

/// The tables of series, as they grow.
pub struct SeriesTables {
    held: Held<3>,
    rows: SeriesRows,
}

impl Default for SeriesTables {
    fn default() -> Self {
        let held = Held::new([&BEATS, &COURSES, &AVERAGED], FULL);
        Self { held, rows: SeriesRows::default() }
    }
}

impl SeriesTables {
    /// Adds the series of a balance in a reading, and gives the files that are full now: name and content.
    ///
    /// # Errors
    ///
    /// A mistake in this program.
    pub fn put(&mut self, reading: ReadingId, of: &BalanceSeries<'_>) -> Result<Files, Unwritten> {
        let BalanceSeries { label, beats, amplitude_deg, rate_s_per_d, averaged_beats } = of;
        let whose = [Cell::text(reading), Cell::text(label)];
        let row = |cells: &[Cell]| [whose.as_slice(), cells].concat();
        let beats: Vec<_> = beats.iter().map(|beat| row(&of_beat(beat))).collect();
        let courses = [("amplitude_deg", amplitude_deg), ("rate_s_per_d", rate_s_per_d)];
        let courses = courses.into_iter().flat_map(|(of, points)| {
            let point = move |(time_s, Measured { value, sd }): &(f64, Measured)| {
                [Cell::text(of), Cell::Real(*time_s), Cell::Real(*value), Cell::Real(*sd)]
            };
            points.iter().map(point)
        });
        let courses: Vec<_> = courses.map(|point| row(&point)).collect();
        let averaged = averaged_beats.iter().flat_map(|(side, values)| {
            values.iter().map(move |value| {
                let [at_ms, mean, spread] = value.map(Cell::Real);
                [Cell::text(side), at_ms, mean, spread]
            })
        });
        let averaged: Vec<_> = averaged.map(|value| row(&value)).collect();
        self.rows.beats += beats.len() as u64;
        self.rows.courses += courses.len() as u64;
        self.rows.averaged_beats += averaged.len() as u64;
        let mut full = self.held.add(0, beats)?;
        full.extend(self.held.add(1, courses)?);
        full.extend(self.held.add(2, averaged)?);
        Ok(full)
    }

    /// What is still held, and how many rows there are in all.
    ///
    /// # Errors
    ///
    /// As [`SeriesTables::put`].
    pub fn finish(mut self) -> Result<(Files, SeriesRows), Unwritten> {
        Ok((self.held.finish()?, self.rows))
    }
}

fn of_beat(beat: &Beat) -> [Cell; 5] {
    let Beat { time_s, gain_ms, residual_ms, side, used } = *beat;
    [
        Cell::Real(time_s),
        Cell::Real(gain_ms),
        Cell::Real(residual_ms),
        Cell::text(side),
        Cell::Whole(i64::from(used)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(beats: usize) -> BalanceSeries<'static> {
        let beat = |n: usize| Beat {
            time_s: n as f64 / 8.0,
            gain_ms: 0.5,
            residual_ms: -0.25,
            side: if n.is_multiple_of(2) { "tick" } else { "tock" },
            used: n != 1,
        };
        BalanceSeries {
            label: "A",
            beats: (0..beats).map(beat).collect(),
            amplitude_deg: vec![(10.0, Measured::new(271.5, 1.5))],
            rate_s_per_d: vec![],
            averaged_beats: vec![("tick", vec![[-1.0, 0.25, 0.125], [0.0, 1.0, 0.5]])],
        }
    }

    /// By RFC 4180 and the meaning of the columns.
    #[test]
    fn each_point_is_a_row() {
        let id: ReadingId = "019a0000-0000-7000-8000-000000000001".parse().unwrap();
        let mut tables = SeriesTables::default();
        assert_eq!(tables.put(id, &reading(2)).unwrap(), Files::new(), "nothing is full yet");
        let (files, rows) = tables.finish().unwrap();
        assert_eq!(rows, SeriesRows { beats: 2, courses: 1, averaged_beats: 2 });
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        let both = |name: &str| [format!("{name}-0001.csv"), format!("{name}-0001.parquet")];
        assert_eq!(names, ["beats", "courses", "averaged_beats"].map(both).concat());
        let text = |n: usize| String::from_utf8(files[n].1.clone()).unwrap();
        assert_eq!(
            text(0),
            format!(
                "reading_id,balance,time_s,gain_ms,residual_ms,side,used\n\
                 {id},A,0.0,0.5,-0.25,tick,1\n{id},A,0.125,0.5,-0.25,tock,0\n"
            )
        );
        assert_eq!(
            text(2),
            format!("reading_id,balance,of,time_s,value,sd\n{id},A,amplitude_deg,10.0,271.5,1.5\n")
        );
        assert_eq!(
            text(4),
            format!(
                "reading_id,balance,side,at_ms,mean,spread\n\
                 {id},A,tick,-1.0,0.25,0.125\n{id},A,tick,0.0,1.0,0.5\n"
            )
        );
    }

    #[test]
    fn a_file_that_is_full_is_given_away() {
        let id: ReadingId = "019a0000-0000-7000-8000-000000000001".parse().unwrap();
        let mut tables = SeriesTables::default();
        let full = tables.put(id, &reading(FULL)).unwrap();
        assert_eq!(full.len(), 2);
        assert_eq!(full[0].1.iter().filter(|byte| **byte == b'\n').count(), FULL + 1);
        tables.put(id, &reading(1)).unwrap();
        let (files, rows) = tables.finish().unwrap();
        assert_eq!(files[0].0, "beats-0002.csv");
        assert_eq!(rows.beats as usize, FULL + 1);
    }
}
