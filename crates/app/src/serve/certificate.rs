//! The certificate under which the pages leave this machine: the shop's own, or one that this program makes.

use std::fmt::Display;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum_server::tls_rustls::RustlsConfig;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};
use rcgen::{
    CertificateParams, DistinguishedName, DnType, ExtendedKeyUsagePurpose, KeyPair, KeyUsagePurpose,
    date_time_ymd,
};
use rustls::client::danger::ServerCertVerifier;
use rustls::client::{WebPkiServerVerifier, verify_server_name};
use rustls::crypto::ring::default_provider;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::server::ParsedCertificate;
use rustls::{CertificateError, Error, RootCertStore};
use sha2::{Digest, Sha256};

use super::{Options, reach};
use crate::desk::Ended;
use crate::write;

/// Longest name of a subject. Source: RFC 5280, appendix A.1, `ub-common-name`.
const LONGEST_NAME: usize = 64;

/// A certificate and the files that it is read from.
pub(crate) struct Certificate {
    content: CertificateDer<'static>,
    files: Files,
}

struct Files {
    certificate: PathBuf,
    key: PathBuf,
}

impl Certificate {
    /// The shop's own, or one made for it where the pages leave this machine.
    pub(crate) fn of(options: &Options, shop: &str) -> Result<Option<Self>, Ended> {
        let files = match (&options.certificate, &options.key) {
            (Some(certificate), Some(key)) => Files { certificate: certificate.clone(), key: key.clone() },
            _ if options.listen.ip().is_loopback() => return Ok(None),
            _ => kept(options, shop)?,
        };
        let content =
            CertificateDer::from_pem_file(&files.certificate).map_err(|fault| files.fault(&fault))?;
        Ok(Some(Self { content, files }))
    }

    /// Whether it is valid for a name or an address.
    pub(crate) fn names(&self, name: &str) -> bool {
        let (Ok(name), Ok(content)) =
            (ServerName::try_from(name), ParsedCertificate::try_from(&self.content))
        else {
            return false;
        };
        verify_server_name(&content, &name).is_ok()
    }

    /// Its SHA-256, as browsers show it.
    pub(crate) fn fingerprint(&self) -> String {
        let pairs: Vec<String> = Sha256::digest(&self.content).iter().map(|b| format!("{b:02X}")).collect();
        pairs.join(":")
    }

    /// To answer under it.
    pub(crate) async fn tls(&self) -> Result<RustlsConfig, Ended> {
        // Fails only where one was installed already.
        let _ = default_provider().install_default();
        let read = RustlsConfig::from_pem_file(&self.files.certificate, &self.files.key).await;
        read.map_err(|fault| self.files.fault(&fault))
    }
}

impl Files {
    fn fault(&self, why: &impl Display) -> Ended {
        Ended::bad(
            &format!(
                "{}, {}: no certificate and key that can be used: {why}",
                self.certificate.display(),
                self.key.display()
            ),
            "both must be PEM files, and belong together",
        )
    }
}

/// The one that this program made, kept beside the book so that tablets know it again; made anew once they would not.
fn kept(options: &Options, shop: &str) -> Result<Files, Ended> {
    let beside = if options.place.is_file() { options.place.path() } else { "standfast".into() };
    let files = Files {
        certificate: beside.with_extension("certificate.pem"),
        key: beside.with_extension("key.pem"),
    };
    let names = reach::own_names(options.listen.ip(), &options.names);
    if files.certificate.exists() && files.key.exists() {
        match why_not(&files.certificate, &names, UnixTime::now()) {
            None => return Ok(files),
            Some(why) => write::err(&format!(
                "{} {why}: another is made, and each tablet asks once more whether it is trusted.\n",
                files.certificate.display()
            )),
        }
    }
    let today = Timestamp::now().to_zoned_datetime(TimeZone::UTC).date();
    let failed = |why: &dyn Display| {
        Ended::bad(
            &format!("no certificate could be made: {why}"),
            "name the shop's own with --certificate and --key",
        )
    };
    let (certificate, key) = made(shop, names, today).map_err(|fault| failed(&fault))?;
    for (path, text) in [(&files.key, key), (&files.certificate, certificate)] {
        let written = discarded(path).and_then(|()| write::private(path, &text));
        written.map_err(|fault| failed(&format!("{}: {fault}", path.display())))?;
    }
    Ok(files)
}

fn discarded(path: &Path) -> std::io::Result<()> {
    match std::fs::remove_file(path) {
        Err(fault) if fault.kind() != std::io::ErrorKind::NotFound => Err(fault),
        _ => Ok(()),
    }
}

/// Why a tablet that trusts it would not take it, if so.
fn why_not(file: &Path, names: &[String], now: UnixTime) -> Option<String> {
    let unreadable = || Some("cannot be read".to_owned());
    let Ok(content) = CertificateDer::from_pem_file(file) else { return unreadable() };
    let mut trusted = RootCertStore::empty();
    if trusted.add(content.clone()).is_err() {
        return unreadable();
    }
    let verifier =
        WebPkiServerVerifier::builder_with_provider(Arc::new(trusted), Arc::new(default_provider()));
    let Ok(verifier) = verifier.build() else { return unreadable() };
    names.iter().find_map(|name| {
        let asked = ServerName::try_from(name.as_str()).ok()?;
        match verifier.verify_server_cert(&content, &[], &asked, &[], now).err()? {
            Error::InvalidCertificate(
                CertificateError::NotValidForName | CertificateError::NotValidForNameContext { .. },
            ) => Some(format!("does not name {name}")),
            Error::InvalidCertificate(
                CertificateError::Expired | CertificateError::ExpiredContext { .. },
            ) => Some("has run out".to_owned()),
            fault => Some(format!("is not taken ({fault})")),
        }
    })
}

/// A certificate for a year and its key, as PEM. It counts from the day before: clocks of tablets may be behind.
fn made(shop: &str, names: Vec<String>, today: Date) -> Result<(String, String), rcgen::Error> {
    let midnight =
        |day: Date| date_time_ymd(day.year().into(), day.month().unsigned_abs(), day.day().unsigned_abs());
    let mut wanted = CertificateParams::new(names)?;
    wanted.distinguished_name = DistinguishedName::new();
    wanted.distinguished_name.push(DnType::CommonName, shop.chars().take(LONGEST_NAME).collect::<String>());
    wanted.not_before = midnight(today.saturating_sub(1.day()));
    wanted.not_after = midnight(today.saturating_add(1.year()));
    wanted.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    wanted.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    let key = KeyPair::generate()?;
    Ok((wanted.self_signed(&key)?.pem(), key.serialize_pem()))
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;
    use crate::serve::tests::options;

    const DAY: u64 = 86_400;

    /// Days after 1970-01-01 of 2026-11-29.
    const MADE: u64 = 20_786;

    fn on(day: u64) -> UnixTime {
        UnixTime::since_unix_epoch(Duration::from_secs(day * DAY + 1))
    }

    #[test]
    fn what_is_made_is_taken_for_a_year_under_its_names_and_no_others() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("shop.certificate.pem");
        let names: Vec<String> =
            ["localhost", "127.0.0.1", "::1", "bay-one.local", "192.168.7.20"].map(str::to_owned).into();
        let (certificate, _) =
            made("Tarnwick Motor Works", names.clone(), "2026-11-29".parse().unwrap()).unwrap();
        std::fs::write(&file, certificate).unwrap();
        for day in [MADE - 1, MADE, MADE + 364] {
            assert_eq!(why_not(&file, &names, on(day)), None, "{day}");
        }
        assert_eq!(why_not(&file, &names, on(MADE + 365)).unwrap(), "has run out");
        assert!(why_not(&file, &names, on(MADE - 3)).is_some());
        for other in ["192.168.7.21", "other.example"] {
            let why = why_not(&file, &[other.to_owned()], on(MADE)).unwrap();
            assert_eq!(why, format!("does not name {other}"));
        }
        std::fs::write(&file, "no certificate").unwrap();
        assert_eq!(why_not(&file, &names, on(MADE)).unwrap(), "cannot be read");
    }

    #[test]
    fn one_that_names_other_addresses_is_made_anew_else_it_stays() {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("shop.book");
        let fingerprint = |listen: &str, name: &[&str]| {
            let more: Vec<&str> = ["--listen", listen].iter().chain(name).copied().collect();
            let made = Certificate::of(&options(&book, &more), "Tarnwick Motor Works").unwrap().unwrap();
            (made.fingerprint(), made)
        };
        let (first, made) = fingerprint("192.168.7.20:7420", &[]);
        assert_eq!(first.len(), 32 * 3 - 1);
        for name in ["localhost", "127.0.0.1", "::1", "192.168.7.20"] {
            assert!(made.names(name), "{name}");
        }
        assert!(!made.names("0.0.0.0") && !made.names("evil.example"));
        let subject = b"Tarnwick Motor Works";
        assert!(made.content.windows(subject.len()).any(|part| part == subject));
        assert_eq!(fingerprint("192.168.7.20:7420", &[]).0, first);
        let (second, _) = fingerprint("192.168.7.21:7420", &[]);
        assert_ne!(second, first);
        let (third, made) = fingerprint("192.168.7.21:7420", &["--name", "Shop.Example"]);
        assert_ne!(third, second);
        assert!(made.names("shop.example"));
        assert!(Certificate::of(&options(&book, &[]), "").unwrap().is_none());
    }
}
