//! The devices that there are.

use crate::arguments::ListenFormat;
use crate::failure::{Failure, Status};
use crate::shown;
use crate::wire::{self, DevicesResult};
use audio::capture::{CaptureDevice, DeviceFormat};

pub(super) fn list(format: ListenFormat) -> Result<Status, Failure> {
    let devices = audio::capture::devices();
    let devices = devices.map_err(|error| Failure::Unreadable(error.to_string()))?;
    super::print(&match format {
        ListenFormat::Json => wire::line(&DevicesResult::of(&devices)),
        ListenFormat::Text => devices.iter().map(told).collect(),
    })?;
    Ok(Status::Done)
}

fn told(device: &CaptureDevice) -> String {
    let usual = if device.is_usual { " (the usual one)" } else { "" };
    let description = shown::safe(&device.description);
    let mut told = format!("{}{usual}\n", shown::safe(&device.name));
    if !description.is_empty() {
        told.push_str(&format!("    {description}\n"));
    }
    for (first, last) in alike(&device.formats) {
        let channels = match (first.channels, last.channels) {
            (1, 1) => "1 channel".to_owned(),
            (from, to) if from == to => format!("{from} channels"),
            (from, to) => format!("{from} to {to} channels"),
        };
        let khz = |rate: quantities::SampleRate| rate.hz() / 1000.0;
        let rates = match (khz(first.least_rate), khz(first.most_rate)) {
            (least, most) if least == most => format!("{least} kHz"),
            (least, most) => format!("{least} to {most} kHz"),
        };
        told.push_str(&format!("    {channels}, {rates}\n"));
    }
    told
}

/// Numbers of channels that follow on from each other with the same rates, first and last.
fn alike(formats: &[DeviceFormat]) -> Vec<(DeviceFormat, DeviceFormat)> {
    let mut ranges: Vec<(DeviceFormat, DeviceFormat)> = Vec::new();
    for format in formats {
        let goes_on = ranges.last_mut().filter(|(_, last)| {
            last.channels + 1 == format.channels
                && last.least_rate == format.least_rate
                && last.most_rate == format.most_rate
        });
        match goes_on {
            Some((_, last)) => *last = *format,
            None => ranges.push((*format, *format)),
        }
    }
    ranges
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::SampleRate;

    #[test]
    fn what_a_device_can_do_is_told_shortly() {
        let rate = |hz| SampleRate::from_hz(hz).unwrap();
        let format = |channels, most| DeviceFormat {
            channels,
            least_rate: rate(44_100.0),
            most_rate: rate(most),
        };
        let device = CaptureDevice {
            name: "pickup".into(),
            description: "Bench pickup".into(),
            is_usual: true,
            formats: vec![format(1, 48_000.0), format(2, 48_000.0), format(4, 44_100.0)],
        };
        assert_eq!(
            told(&device),
            "pickup (the usual one)\n    Bench pickup\n    1 to 2 channels, 44.1 to 48 kHz\n    \
             4 channels, 44.1 kHz\n"
        );
    }
}
