//! How does a shop make its own certificates? An authority of its own, which signs the certificate
//! of the server and those of its clients. Keys are readable by their owner only.

use std::io;
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use rcgen::{
    BasicConstraints, CertificateParams, DistinguishedName, DnType, ExtendedKeyUsagePurpose, IsCa,
    Issuer, KeyPair, KeyUsagePurpose,
};

use super::private_file;
use crate::config::Encryption;

/// The folder below the data directory.
pub const FOLDER: &str = "tls";
/// The certificate that clients are given, to know the server by.
pub const AUTHORITY: &str = "authority.pem";
const AUTHORITY_KEY: &str = "authority.key";
const SERVER: &str = "server.pem";
const SERVER_KEY: &str = "server.key";
/// The name an authority signs with; it is rebuilt from this and its key.
const AUTHORITY_NAME: &str = "sward shop authority";
/// Years that an authority, and months that what it signs, is good for.
const AUTHORITY_YEARS: i64 = 10;
const SIGNED_MONTHS: i64 = 24;

/// The certificate and key of the server, if they were made here.
pub fn made(data: &Path) -> Option<Encryption> {
    let folder = data.join(FOLDER);
    let (certificate, key) = (folder.join(SERVER), folder.join(SERVER_KEY));
    (certificate.exists() && key.exists())
        .then_some(Encryption { certificate, key, client_authority: None })
}

/// Makes the authority unless it is there, and a server certificate for these host names and
/// addresses in the place of an earlier one. Returns the authority's certificate.
pub fn init(data: &Path, hosts: &[String], today: Date) -> io::Result<PathBuf> {
    let folder = data.join(FOLDER);
    private_file::create_folder(data)?;
    private_file::create_folder(&folder)?;
    let mut server = CertificateParams::new(hosts.to_vec()).map_err(failed)?;
    name(&mut server, &hosts.join(", "));
    server.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    if !folder.join(AUTHORITY_KEY).exists() {
        make_authority(&folder, today)?;
    }
    sign(&folder, server, (SERVER, SERVER_KEY), today)?;
    Ok(folder.join(AUTHORITY))
}

/// Makes a certificate for a client, to be shown where `--client-ca` asks for one.
pub fn client(data: &Path, who: &str, today: Date) -> io::Result<(PathBuf, PathBuf)> {
    let plain = |ch: char| ch.is_ascii_lowercase() || ch.is_ascii_digit() || ch == '-';
    if who.is_empty() || who.len() > 63 || !who.chars().all(plain) {
        let text = format!(
            "the client name {who:?} cannot be used: write 1 to 63 of a to z, 0 to 9 and \"-\""
        );
        return Err(io::Error::new(io::ErrorKind::InvalidInput, text));
    }
    let folder = data.join(FOLDER);
    let mut params = CertificateParams::new(Vec::new()).map_err(failed)?;
    name(&mut params, who);
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ClientAuth];
    let (certificate, key) = (format!("client-{who}.pem"), format!("client-{who}.key"));
    sign(&folder, params, (&certificate, &key), today)?;
    Ok((folder.join(certificate), folder.join(key)))
}

fn make_authority(folder: &Path, today: Date) -> io::Result<()> {
    let mut params = authority();
    valid(&mut params, today, jiff::Span::new().years(AUTHORITY_YEARS))?;
    let key = KeyPair::generate().map_err(failed)?;
    let certificate = params.self_signed(&key).map_err(failed)?;
    private_file::replace(&folder.join(AUTHORITY_KEY), key.serialize_pem().as_bytes())?;
    private_file::replace(&folder.join(AUTHORITY), certificate.pem().as_bytes())
}

fn authority() -> CertificateParams {
    let mut params = CertificateParams::default();
    name(&mut params, AUTHORITY_NAME);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params
}

fn sign(
    folder: &Path,
    mut params: CertificateParams,
    (certificate_name, key_name): (&str, &str),
    today: Date,
) -> io::Result<()> {
    let key_path = folder.join(AUTHORITY_KEY);
    let text = std::fs::read_to_string(&key_path).map_err(|error| {
        let path = key_path.display();
        io::Error::new(error.kind(), format!("{path}: {error}; run \"swardd cert init\" first"))
    })?;
    private_file::check_private(&key_path)?;
    let issuer = Issuer::new(authority(), KeyPair::from_pem(&text).map_err(failed)?);
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.use_authority_key_identifier_extension = true;
    valid(&mut params, today, jiff::Span::new().months(SIGNED_MONTHS))?;
    let key = KeyPair::generate().map_err(failed)?;
    let certificate = params.signed_by(&key, &issuer).map_err(failed)?;
    private_file::replace(&folder.join(key_name), key.serialize_pem().as_bytes())?;
    private_file::replace(&folder.join(certificate_name), certificate.pem().as_bytes())
}

fn name(params: &mut CertificateParams, text: &str) {
    let mut name = DistinguishedName::new();
    name.push(DnType::CommonName, text);
    params.distinguished_name = name;
}

/// Good from the day before, so that a client whose clock is a little behind accepts it.
fn valid(params: &mut CertificateParams, today: Date, span: jiff::Span) -> io::Result<()> {
    let from = today.yesterday().map_err(io::Error::other)?;
    let until = today.checked_add(span).map_err(io::Error::other)?;
    let [from, until] = [from, until].map(|day| {
        let (month, day_of_month) = (day.month().unsigned_abs(), day.day().unsigned_abs());
        rcgen::date_time_ymd(day.year().into(), month, day_of_month)
    });
    (params.not_before, params.not_after) = (from, until);
    Ok(())
}

fn failed(error: rcgen::Error) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, format!("the certificate cannot be made: {error}"))
}
