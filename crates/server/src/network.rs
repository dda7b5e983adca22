//! The door to the local network. It is shut until somebody at the bench lets a phone join; then it
//! speaks TLS with a certificate of this machine's own, because a browser gives the camera's and the
//! microphone's live picture to pages that came safely alone.

use crate::access::{Door, Through};
use crate::desk::Desk;
use crate::failure::Failure;
use crate::serving::{end_with, limit};
use crate::whole_file;
use axum_server::tls_rustls::RustlsConfig;
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tokio::sync::Mutex;

/// A device is noted as seen so often at most.
const SEEN_EVERY: Duration = Duration::from_secs(60);
/// Days for which a new certificate holds: no more than phones accept (some 825; common practice,
/// from memory).
const CERTIFICATE_DAYS: i64 = 800;
/// It is made anew when it holds for less than this.
const RENEWED_DAYS_BEFORE: i64 = 60;

/// The door to the network.
pub(crate) struct Network {
    /// At which port it opens.
    port: u16,
    /// Where its key and certificate lie.
    folder: PathBuf,
    open: Mutex<Option<Open>>,
    seen: Mutex<HashMap<store::DeviceId, Instant>>,
}

/// What is known of the door once it is open.
#[derive(Debug, Clone)]
pub(crate) struct Open {
    pub(crate) port: u16,
    pub(crate) certificate_sha256: String,
}

impl Network {
    pub(crate) fn new(port: u16, folder: PathBuf) -> Self {
        Self { port, folder, open: Mutex::default(), seen: Mutex::default() }
    }

    /// Opens it, where it is not open yet.
    pub(crate) async fn open(&self, desk: &Desk) -> Result<Open, Failure> {
        let mut open = self.open.lock().await;
        if let Some(open) = &*open {
            return Ok(open.clone());
        }
        let (certificate, key) = certificate(&self.folder)
            .map_err(|e| Failure::NotNow(format!("No phone can join: {e}")))?;
        let config = RustlsConfig::from_pem(certificate.clone().into_bytes(), key.into_bytes())
            .await
            .map_err(|e| Failure::Ours(format!("the certificate cannot be used: {e}")))?;
        let listener = std::net::TcpListener::bind(SocketAddr::new(
            Ipv6Addr::UNSPECIFIED.into(),
            self.port,
        ))
        .or_else(|_| std::net::TcpListener::bind(("0.0.0.0", self.port)))
        .and_then(|listener| listener.set_nonblocking(true).map(|()| listener))
        .map_err(|e| {
            let port = self.port;
            Failure::NotNow(format!(
                "No phone can join: port {port} cannot be opened to the network ({e}). Start \
                     the program with another --network-port."
            ))
        })?;
        let port = listener.local_addr().map_or(self.port, |address| address.port());
        let router = crate::routes::router(desk.clone(), Through { door: Door::Network, port });
        let handle = axum_server::Handle::new();
        let mut server = axum_server::from_tcp_rustls(listener, config)
            .map_err(|e| Failure::Ours(format!("the network door cannot be opened: {e}")))?
            .handle(handle.clone());
        limit(server.http_builder());
        tokio::spawn(async move {
            let service = router.into_make_service_with_connect_info::<SocketAddr>();
            if let Err(error) = server.serve(service).await {
                tracing::error!("the door to the network fell shut: {error}");
            }
        });
        end_with(desk.ending.clone(), handle);
        let certificate_sha256 = fingerprint(&certificate);
        tracing::info!("open to devices that join, at port {port}");
        Ok(open.insert(Open { port, certificate_sha256 }).clone())
    }

    /// Notes that a device was here, now and then.
    pub(crate) async fn seen(&self, desk: &Desk, device: &store::Device) {
        let now = Instant::now();
        let mut seen = self.seen.lock().await;
        if seen.get(&device.id).is_some_and(|last| now.duration_since(*last) < SEEN_EVERY) {
            return;
        }
        seen.insert(device.id, now);
        drop(seen);
        // That it was here matters less than what it wants.
        if let Err(error) = desk.store.device_seen(device.id, store::now()).await {
            tracing::warn!("a device that was here cannot be noted: {error}");
        }
    }
}

/// This machine's addresses in the local network, those of private networks first.
pub(crate) fn addresses() -> Vec<IpAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    let mut ours: Vec<IpAddr> = all
        .into_iter()
        .filter(|interface| !interface.is_loopback())
        .map(|interface| interface.ip())
        .filter(|ip| !matches!(ip, IpAddr::V6(v6) if v6.is_unicast_link_local()))
        .collect();
    ours.sort_by_key(|ip| match ip {
        IpAddr::V4(v4) if v4.is_private() => 0,
        IpAddr::V4(v4) if !v4.is_link_local() => 1,
        IpAddr::V6(_) => 2,
        IpAddr::V4(_) => 3,
    });
    ours
}

/// Certificate and key as PEM: those that were made before, or new ones where those are too old or
/// do not name all of this machine's addresses.
fn certificate(folder: &Path) -> Result<(String, String), String> {
    certificate_for(folder, &addresses(), time::OffsetDateTime::now_utc())
}

fn certificate_for(
    folder: &Path,
    addresses: &[IpAddr],
    now: time::OffsetDateTime,
) -> Result<(String, String), String> {
    let (certificate, key) =
        (folder.join("network-certificate.pem"), folder.join("network-key.pem"));
    if let (Ok(certificate), Ok(key)) =
        (std::fs::read_to_string(&certificate), std::fs::read_to_string(&key))
        && still_good(&certificate, addresses, now)
    {
        return Ok((certificate, key));
    }
    let made = make_certificate(addresses, now)
        .map_err(|e| format!("no certificate can be made ({e})."))?;
    let write = || -> std::io::Result<()> {
        whole_file::write(&key, made.1.as_bytes())?;
        whole_file::write(&certificate, made.0.as_bytes())
    };
    write().map_err(|e| {
        format!("its certificate cannot be kept in {} ({e}): make room or give the right to write there.", folder.display())
    })?;
    Ok(made)
}

/// What stands before a certificate that we made: until when it holds, seconds since 1970, and for
/// whom. Text around a certificate is no part of it (RFC 7468, 5.2).
const HOLDS: &str = "Made by Endshake; holds until ";

fn still_good(certificate: &str, addresses: &[IpAddr], now: time::OffsetDateTime) -> bool {
    let mut words =
        certificate.lines().next().and_then(|l| l.strip_prefix(HOLDS)).unwrap_or("").split(' ');
    let until: Option<i64> = words.next().and_then(|seconds| seconds.parse().ok());
    let names: Vec<&str> = words.collect();
    let renewed = now + time::Duration::days(RENEWED_DAYS_BEFORE);
    until.is_some_and(|until| until > renewed.unix_timestamp())
        && addresses.iter().all(|ip| names.contains(&ip.to_string().as_str()))
}

fn make_certificate(
    addresses: &[IpAddr],
    now: time::OffsetDateTime,
) -> Result<(String, String), rcgen::Error> {
    let addresses: Vec<String> = addresses.iter().map(ToString::to_string).collect();
    let mut names = addresses.clone();
    names.push("localhost".into());
    let mut params = rcgen::CertificateParams::new(names)?;
    params.distinguished_name.push(rcgen::DnType::CommonName, "Endshake on this bench");
    // A phone's clock may be a little behind.
    params.not_before = now - time::Duration::DAY;
    params.not_after = now + time::Duration::days(CERTIFICATE_DAYS);
    let key = rcgen::KeyPair::generate()?;
    params.extended_key_usages = vec![rcgen::ExtendedKeyUsagePurpose::ServerAuth];
    let until = params.not_after.unix_timestamp();
    let certificate = params.self_signed(&key)?;
    let told = format!("{HOLDS}{until} {}\n", addresses.join(" "));
    Ok((told + &certificate.pem(), key.serialize_pem()))
}

/// SHA-256 of a certificate, as browsers show it: pairs of hexadecimal digits with colons.
fn fingerprint(pem: &str) -> String {
    use base64::Engine;
    let after = pem.split_once("-----BEGIN CERTIFICATE-----").map_or("", |(_, after)| after);
    let body: String = after.lines().filter(|line| !line.starts_with("-----")).collect();
    let der = base64::engine::general_purpose::STANDARD.decode(body).unwrap_or_default();
    let pairs: Vec<String> = Sha256::digest(der).iter().map(|byte| format!("{byte:02X}")).collect();
    pairs.join(":")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_certificate_is_made_once_and_is_the_users_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (folder_, now) = (folder.path().join("new"), time::OffsetDateTime::now_utc());
        let home: [IpAddr; 1] = ["192.0.2.7".parse().unwrap()];
        let first = certificate_for(&folder_, &home, now).unwrap();
        assert!(first.0.contains("-----BEGIN CERTIFICATE-----"));
        assert_eq!(certificate_for(&folder_, &home, now).unwrap(), first);
        // Not for ever, and not in another network.
        let later = now + time::Duration::days(CERTIFICATE_DAYS - RENEWED_DAYS_BEFORE + 1);
        assert!(!still_good(&first.0, &home, later));
        let elsewhere: [IpAddr; 1] = ["198.51.100.7".parse().unwrap()];
        let second = certificate_for(&folder_, &elsewhere, now).unwrap();
        assert_ne!(fingerprint(&second.0), fingerprint(&first.0));
        let key = folder.path().join("new/network-key.pem");
        assert_eq!(std::fs::metadata(key).unwrap().permissions().mode() & 0o777, 0o600);
        // 32 bytes, two digits each, colons between.
        assert_eq!(fingerprint(&first.0).len(), 95);
    }
}
