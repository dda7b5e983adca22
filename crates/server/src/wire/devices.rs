//! Devices that have joined, and how one joins.

use super::Role;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A device that has joined.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Device {
    /// Never changes.
    pub id: String,
    /// How it is called.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// Since when.
    pub joined_at: super::Moment,
    /// When it asked last.
    pub seen_at: Option<super::Moment>,
}

/// Who has joined.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct DeviceList {
    /// The last joined first.
    pub devices: Vec<Device>,
}

/// What a device that joins shall be allowed to do.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct DeviceRole {
    /// What it may do.
    pub role: Role,
}

/// A code by which one device may join, once.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct JoinCode {
    /// Where the phone goes: one address for each of this machine's, best first.
    pub urls: Vec<String>,
    /// The first of them as a QR code, SVG.
    pub qr_svg: String,
    /// Each of them so.
    pub qr_svgs: Vec<String>,
    /// Until when it holds.
    pub expires_at: super::Moment,
    /// SHA-256 of the certificate, for whoever wants to compare, where the address is https.
    pub certificate_sha256: Option<String>,
}

/// A device joins.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct Join {
    /// The code from the QR.
    pub code: String,
    /// How the device shall be called; not empty.
    pub name: String,
}

/// It has joined; a cookie keeps it so.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Joined {
    /// The device.
    pub device: Device,
}
