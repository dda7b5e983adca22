//! What can be recorded from.

use super::failure::CaptureError;
use super::hush::hushed;
use cpal::traits::{DeviceTrait, HostTrait};
use quantities::SampleRate;

/// Plugins of ALSA that are no devices: those of other sound systems that start their servers when
/// they are opened, and those that make silence or files.
const NO_DEVICES: [&str; 3] = ["jack", "null", "file"];

/// A device that sound can be recorded from.
#[derive(Debug, Clone, PartialEq)]
pub struct CaptureDevice {
    /// Its name: what [`CaptureWish::device`](super::CaptureWish::device) wants.
    pub name: String,
    /// What the system says of it.
    pub description: String,
    /// Whether it is the one that is opened where none is named.
    pub is_usual: bool,
    /// What it can record.
    pub formats: Vec<DeviceFormat>,
}

/// A number of channels with the sample rates that it can be recorded at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceFormat {
    /// Channels.
    pub channels: usize,
    /// Lowest samples a second that can be used here.
    pub least_rate: SampleRate,
    /// Highest.
    pub most_rate: SampleRate,
}

/// All devices that open, the usual one first.
///
/// # Errors
/// [`CaptureError::NoDevice`] where there are none.
pub fn devices() -> Result<Vec<CaptureDevice>, CaptureError> {
    let usual = hushed(usual);
    let mut all: Vec<CaptureDevice> = hushed(candidates)
        .iter()
        .filter_map(|device| {
            let formats = formats(device);
            let name = name(device)?;
            let is_usual = usual.as_ref().is_some_and(|(_, usual)| *usual == name);
            let description = description(device).unwrap_or_default();
            (!formats.is_empty()).then_some(CaptureDevice { name, description, is_usual, formats })
        })
        .collect();
    all.sort_by_key(|device| !device.is_usual);
    if all.is_empty() { Err(CaptureError::NoDevice) } else { Ok(all) }
}

/// The device that a wish means, or the usual one.
pub(super) fn find(wished: Option<&str>) -> Result<(cpal::Device, String), CaptureError> {
    let Some(wished) = wished else { return hushed(usual).ok_or(CaptureError::NoDevice) };
    if let Ok(device) = find_exactly(wished) {
        let name = name(&device).unwrap_or_else(|| wished.to_owned());
        return Ok((device, name));
    }
    let part = wished.to_lowercase();
    let fits = |text: &str| text.to_lowercase().contains(&part);
    let mut fitting: Vec<(cpal::Device, String)> = hushed(candidates)
        .into_iter()
        .filter_map(|device| name(&device).map(|name| (device, name)))
        .filter(|(device, name)| fits(name) || description(device).is_some_and(|d| fits(&d)))
        .filter(|(device, _)| !formats(device).is_empty())
        .collect();
    match fitting.len() {
        1 => Ok(fitting.remove(0)),
        0 => Err(CaptureError::NotFound { name: wished.into() }),
        _ => Err(CaptureError::SeveralFit {
            name: wished.into(),
            fitting: fitting.into_iter().map(|(_, name)| name).collect::<Vec<_>>().join(", "),
        }),
    }
}

/// The device of just this name.
pub(super) fn find_exactly(wished: &str) -> Result<cpal::Device, CaptureError> {
    let all = hushed(|| cpal::default_host().devices());
    let mut all = all.map_err(|_| CaptureError::NoDevice)?;
    all.find(|device| name(device).as_deref() == Some(wished))
        .ok_or_else(|| CaptureError::NotFound { name: wished.into() })
}

fn usual() -> Option<(cpal::Device, String)> {
    let device = cpal::default_host().default_input_device()?;
    if formats(&device).is_empty() {
        return None;
    }
    let name = name(&device)?;
    Some((device, name))
}

fn candidates() -> Vec<cpal::Device> {
    let all = cpal::default_host().devices();
    let is_device = |device: &cpal::Device| {
        name(device).is_some_and(|n| !NO_DEVICES.contains(&n.split(':').next().unwrap_or(&n)))
    };
    all.map_or_else(|_| Vec::new(), |all| all.filter(is_device).collect())
}

/// Without the name of the sound system, of which there is one.
fn name(device: &cpal::Device) -> Option<String> {
    device.id().ok().map(|id| id.id().to_owned())
}

fn description(device: &cpal::Device) -> Option<String> {
    device.description().ok().map(|d| d.name().to_owned())
}

/// What a device can record that can be used here; nothing where it does not open.
fn formats(device: &cpal::Device) -> Vec<DeviceFormat> {
    let mut formats: Vec<DeviceFormat> = Vec::new();
    let Ok(all) = hushed(|| device.supported_input_configs()) else { return formats };
    for config in all {
        let (least, most) = (config.min_sample_rate(), config.max_sample_rate());
        // Plugins that convert claim to have any rate at all.
        let in_range = |hz: u32| SampleRate::from_hz(f64::from(hz.clamp(8_000, 384_000)));
        let (Ok(least_rate), Ok(most_rate)) = (in_range(least), in_range(most)) else { continue };
        if f64::from(least) > most_rate.hz() || f64::from(most) < least_rate.hz() {
            continue;
        }
        let channels = usize::from(config.channels());
        match formats.iter_mut().find(|f| f.channels == channels) {
            Some(format) => {
                if least_rate < format.least_rate {
                    format.least_rate = least_rate;
                }
                if most_rate > format.most_rate {
                    format.most_rate = most_rate;
                }
            }
            None if (1..=crate::MOST_CHANNELS).contains(&channels) => {
                formats.push(DeviceFormat { channels, least_rate, most_rate });
            }
            None => {}
        }
    }
    formats.sort_by_key(|f| f.channels);
    formats
}
