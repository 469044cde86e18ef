//! What passes between a bench and a server that is not on the same computer is encrypted, and the server has to show by its
//! certificate that it is the one that was named.

use std::path::Path;
use std::sync::Arc;

use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject as _;
use rustls::{ClientConfig, RootCertStore};
use tokio_postgres_rustls::MakeRustlsConnect;

use crate::{NotMet, Reason};

/// Encrypts, trusting the certificates in this file, or those that this system trusts.
pub(crate) fn encrypting(roots: Option<&Path>) -> Result<MakeRustlsConnect, NotMet> {
    let mut trusted = RootCertStore::empty();
    match roots {
        Some(file) => {
            let unread = |_| {
                let what = "can't be read as certificates in PEM. Name the right file as sslrootcert.";
                NotMet::new(Reason::Address, format!("{} {what}", file.display()))
            };
            for certificate in CertificateDer::pem_file_iter(file).map_err(unread)? {
                // One that can't be used is as good as missing, and is told as that when the server is met.
                let _ = trusted.add(certificate.map_err(unread)?);
            }
        }
        None => {
            trusted.add_parsable_certificates(rustls_native_certs::load_native_certs().certs);
        }
    }
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(|error| NotMet::new(Reason::Here, format!("Nothing can be encrypted on this computer: {error}.")))?
        .with_root_certificates(trusted)
        .with_no_client_auth();
    Ok(MakeRustlsConnect::new(config))
}
