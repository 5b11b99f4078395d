//! How is a server on another machine spoken to? Encrypted, known by its authority, with a token
//! that is never sent where others could read it.

use std::path::Path;

use sward_core::config;
use sward_core::service::access::certificates;
use tonic::metadata::{Ascii, MetadataValue};
use tonic::transport::{Certificate, ClientTlsConfig, Endpoint, Identity};

use crate::call::{self, Failure};
use crate::commands::Globals;

/// The token as a header.
pub fn token(globals: &Globals) -> Result<Option<MetadataValue<Ascii>>, Failure> {
    let Some(token) = globals.token.as_deref().filter(|token| !token.is_empty()) else {
        return Ok(None);
    };
    let value = format!("Bearer {token}").parse::<MetadataValue<Ascii>>();
    let mut value = value.map_err(|_| {
        Failure::new(65, "the token has characters that no token has", "copy it again, whole")
    })?;
    // It stays out of what is written when something is looked into.
    value.set_sensitive(true);
    Ok(Some(value))
}

/// Where a server answers, and how it is known.
pub fn endpoint(server: &str, globals: &Globals) -> Result<Endpoint, Failure> {
    let wrong = |error: tonic::transport::Error| {
        let text = format!("--server {server} is no address: {error}");
        Failure::new(65, text, "write https://HOST:PORT")
    };
    let endpoint = Endpoint::from_shared(server.to_owned())
        .map_err(wrong)?
        .http2_max_header_list_size(config::HEADER_BYTES_MAX);
    if endpoint.uri().scheme_str() != Some("https") {
        if globals.token.is_some() && !on_this_machine(endpoint.uri().host()) {
            let text = format!("a token sent to {server} could be read on the way");
            return Err(Failure::new(65, text, "write https://HOST:PORT and name --ca"));
        }
        return Ok(endpoint);
    }
    endpoint.tls_config(encryption(globals)?).map_err(wrong)
}

fn on_this_machine(host: Option<&str>) -> bool {
    let host = host.unwrap_or_default().trim_matches(['[', ']']);
    host == "localhost" || host.parse::<std::net::IpAddr>().is_ok_and(|host| host.is_loopback())
}

/// Known by the authority named, else by the one made in the data directory.
fn encryption(globals: &Globals) -> Result<ClientTlsConfig, Failure> {
    let made = call::data(globals).join(certificates::FOLDER).join(certificates::AUTHORITY);
    let authority = globals.ca.clone().unwrap_or(made);
    let hint = "name the authority.pem of the server with --ca";
    let authority = Certificate::from_pem(read(&authority, hint)?);
    let encryption = ClientTlsConfig::new().ca_certificate(authority);
    let (Some(certificate), Some(key)) = (&globals.client_cert, &globals.client_key) else {
        return Ok(encryption);
    };
    let hint = "name both files that \"swardd cert client\" made";
    let identity = Identity::from_pem(read(certificate, hint)?, read(key, hint)?);
    Ok(encryption.identity(identity))
}

fn read(path: &Path, hint: &str) -> Result<Vec<u8>, Failure> {
    std::fs::read(path)
        .map_err(|error| Failure::new(74, format!("{}: {error}", path.display()), hint))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_machine_is_told_from_others() {
        for here in ["localhost", "127.0.0.1", "[::1]"] {
            assert!(on_this_machine(Some(here)), "{here}");
        }
        // RFC 5737 and RFC 2606: addresses and names for examples.
        for there in ["192.0.2.1", "shop.example", "localhost.example", ""] {
            assert!(!on_this_machine(Some(there)), "{there}");
        }
    }
}
