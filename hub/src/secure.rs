//! HTTPS on the shop's own network, with the shop's own certificate authority.
//!
//! A phone gives neither camera nor service worker to plain HTTP, and no public authority signs for an address at home. So the
//! hub has an authority of its own, which each phone is shown once (see [`crate::trust`]). It can sign for names and
//! addresses of a home network only: whoever steals its key gains nothing against the rest of the web. The certificate
//! that the server shows is made anew at each start and each day, so nothing runs out and nobody has to trust again.

use std::fs;
use std::io::Write;
use std::net::IpAddr;
use std::path::Path;
use std::sync::{Arc, RwLock};
use std::time::{Duration, SystemTime};

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls::ServerConfig;
use rustls::crypto::ring;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use sha2::{Digest, Sha256};
use tailplate_core::sync::Id;

use crate::store::private_folder;

const DAY: Duration = Duration::from_secs(24 * 3600);
/// The authority, and what the server shows. Phones refuse a server's certificate of more than 825 days.
const AUTHORITY_DAYS: u32 = 3650;
const LEAF_DAYS: u32 = 60;
/// A phone's clock may be behind.
const EARLIER_DAYS: u32 = 2;
/// Endings of names that belong to a home network and to nobody outside.
const HOME_ENDINGS: [&str; 5] = ["local", "lan", "home.arpa", "internal", "localhost"];
const HOME_NETWORKS_V4: [([u8; 4], u8); 5] =
    [([10, 0, 0, 0], 8), ([172, 16, 0, 0], 12), ([192, 168, 0, 0], 16), ([169, 254, 0, 0], 16), ([127, 0, 0, 0], 8)];

/// The shop's certificate authority.
pub struct Authority {
    issuer: Issuer<'static, KeyPair>,
    pem: String,
    der: Vec<u8>,
}

impl Authority {
    /// Opens the one in the folder; makes it the first time.
    ///
    /// # Errors
    /// A sentence: the folder can't be written, or what is in it is no authority.
    pub fn open(folder: &Path, shop: Id) -> Result<Self, String> {
        let (cert, key) = (folder.join("authority.pem"), folder.join("authority.key"));
        let told = |what: &dyn std::fmt::Display| format!("The certificate authority in {}: {what}.", folder.display());
        if !key.exists() && !cert.exists() {
            private_folder(folder)?;
            let pair = KeyPair::generate().map_err(|error| told(&error))?;
            let made = authority_params(shop).self_signed(&pair).map_err(|error| told(&error))?;
            write_private(&key, pair.serialize_pem().as_bytes()).map_err(|error| told(&error))?;
            write_private(&cert, made.pem().as_bytes()).map_err(|error| told(&error))?;
        }
        let read = |path: &Path| fs::read_to_string(path).map_err(|error| told(&error));
        let (pem, key) = (read(&cert)?, read(&key)?);
        let pair = KeyPair::from_pem(&key).map_err(|error| told(&error))?;
        let der = der_of(&pem).ok_or_else(|| told(&"its certificate can't be read"))?;
        Ok(Self { issuer: Issuer::new(authority_params(shop), pair), pem, der })
    }

    pub fn pem(&self) -> &str {
        &self.pem
    }

    pub fn der(&self) -> &[u8] {
        &self.der
    }

    /// By which a person knows it: SHA-256 in pairs of hex digits, as phones show it.
    pub fn fingerprint(&self) -> String {
        let pairs: Vec<String> = Sha256::digest(&self.der).iter().map(|byte| format!("{byte:02X}")).collect();
        pairs.join(":")
    }

    fn leaf(&self, names: &[String], addresses: &[IpAddr]) -> Result<CertifiedKey, String> {
        let told = |error: &dyn std::fmt::Display| format!("The server's certificate can't be made: {error}.");
        let pair = KeyPair::generate().map_err(|error| told(&error))?;
        let mut params = CertificateParams::default();
        params.distinguished_name = named("Tailplate");
        set_days(&mut params, LEAF_DAYS);
        params.use_authority_key_identifier_extension = true;
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        for name in names {
            let name = name.as_str().try_into().map_err(|error| told(&error))?;
            params.subject_alt_names.push(SanType::DnsName(name));
        }
        params.subject_alt_names.extend(addresses.iter().map(|address| SanType::IpAddress(*address)));
        let made = params.signed_by(&pair, &self.issuer).map_err(|error| told(&error))?;
        let chain = vec![made.der().clone(), CertificateDer::from(self.der.clone())];
        let key = PrivateKeyDer::try_from(pair.serialize_der()).map_err(|error| told(&error))?;
        let key = ring::sign::any_supported_type(&key).map_err(|error| told(&error))?;
        Ok(CertifiedKey::new(chain, key))
    }
}

/// What the server shows, exchanged while it runs.
pub struct Shown {
    authority: Authority,
    names: Vec<String>,
    current: RwLock<Arc<CertifiedKey>>,
}

impl std::fmt::Debug for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Shown")
    }
}

impl Shown {
    /// `names`: those by which the hub is called, beside its addresses.
    ///
    /// # Errors
    /// A name is none of a home network.
    pub fn new(authority: Authority, names: Vec<String>) -> Result<Arc<Self>, String> {
        if let Some(name) = names.iter().find(|name| !is_home_name(name)) {
            return Err(format!(
                "The shop's own authority signs only for names ending in .local, .lan, .home.arpa or .internal; for \
                 “{name}” put a server with a certificate of its own before this one."
            ));
        }
        let leaf = authority.leaf(&names, &home_addresses())?;
        Ok(Arc::new(Self { authority, names, current: RwLock::new(Arc::new(leaf)) }))
    }

    pub fn authority(&self) -> &Authority {
        &self.authority
    }

    /// A new certificate, for the addresses that this computer has by now.
    ///
    /// # Errors
    /// A sentence; the present one stays.
    pub fn renew(&self) -> Result<(), String> {
        let leaf = Arc::new(self.authority.leaf(&self.names, &home_addresses())?);
        if let Ok(mut current) = self.current.write() {
            *current = leaf;
        }
        Ok(())
    }

    /// Renews each day, and sooner where the computer's addresses have changed; for ever.
    pub async fn keep_fresh(self: Arc<Self>) {
        const LOOK: Duration = Duration::from_secs(60);
        let (mut addresses, mut waited) = (home_addresses(), Duration::ZERO);
        loop {
            tokio::time::sleep(LOOK).await;
            waited += LOOK;
            let now = home_addresses();
            if now != addresses || waited >= DAY {
                (addresses, waited) = (now, Duration::ZERO);
                match self.renew() {
                    Ok(()) => tracing::info!("the server shows a new certificate"),
                    Err(told) => tracing::error!("{told}"),
                }
            }
        }
    }

    /// # Errors
    /// A sentence.
    pub fn config(self: &Arc<Self>) -> Result<Arc<ServerConfig>, String> {
        let builder = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()));
        let builder = builder.with_safe_default_protocol_versions().map_err(|error| format!("No HTTPS: {error}."))?;
        let mut config = builder.with_no_client_auth().with_cert_resolver(self.clone());
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Arc::new(config))
    }
}

impl ResolvesServerCert for Shown {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        self.current.read().ok().map(|current| current.clone())
    }
}

/// This computer's addresses in home networks, in order; its own inner one among them.
pub fn home_addresses() -> Vec<IpAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    let mut addresses: Vec<IpAddr> = all.iter().map(if_addrs::Interface::ip).filter(is_home_address).collect();
    addresses.extend([IpAddr::from([127, 0, 0, 1]), IpAddr::from([0, 0, 0, 0, 0, 0, 0, 1])]);
    addresses.sort();
    addresses.dedup();
    addresses
}

/// The address that a phone would call where the server listens at `bound`: the first of the home network, IPv4 before
/// IPv6.
pub fn address_for_phones(bound: IpAddr) -> Option<IpAddr> {
    // One that listens on IPv6 mostly listens on both; one on IPv4 never does.
    let addresses = home_addresses().into_iter().filter(|ip| !ip.is_loopback() && (bound.is_ipv6() || ip.is_ipv4()));
    // 169.254… is what a computer gives itself where nobody gives it one.
    let own_making = |ip: &IpAddr| matches!(ip, IpAddr::V4(ip) if ip.is_link_local());
    addresses.min_by_key(|ip| (own_making(ip), ip.is_ipv6(), *ip))
}

fn is_home_address(ip: &IpAddr) -> bool {
    match ip {
        IpAddr::V4(ip) => ip.is_private() || ip.is_link_local() || ip.is_loopback(),
        // Link-local ones of IPv6 are left out: they need a zone, which no address in a browser has.
        IpAddr::V6(ip) => ip.is_loopback() || ip.is_unique_local(),
    }
}

fn is_home_name(name: &str) -> bool {
    HOME_ENDINGS.iter().any(|ending| {
        name.strip_suffix(ending).is_some_and(|before| before.is_empty() || before.ends_with('.') && before.len() > 1)
    })
}

/// The same each time for one shop: only the key, and what a phone has in its list, must stay as they are.
fn authority_params(shop: Id) -> CertificateParams {
    let mut params = CertificateParams::default();
    params.distinguished_name = named(&format!("Tailplate of shop {}", &shop.hex()[..8]));
    set_days(&mut params, AUTHORITY_DAYS);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let names = HOME_ENDINGS.iter().map(|ending| GeneralSubtree::DnsName((*ending).into()));
    let v4 = HOME_NETWORKS_V4.iter().map(|(net, bits)| CidrSubnet::from_v4_prefix(*net, *bits));
    let inner = CidrSubnet::from_addr_prefix(IpAddr::from([0, 0, 0, 0, 0, 0, 0, 1]), 128);
    let unique = CidrSubnet::from_addr_prefix(IpAddr::from([0xfc00, 0, 0, 0, 0, 0, 0, 0]), 7);
    let networks = v4.chain([inner, unique]).map(GeneralSubtree::IpAddress);
    params.name_constraints =
        Some(NameConstraints { permitted_subtrees: names.chain(networks).collect(), excluded_subtrees: Vec::new() });
    params
}

fn named(name: &str) -> DistinguishedName {
    let mut full = DistinguishedName::new();
    full.push(DnType::CommonName, name);
    full
}

/// From a little before now to as many days on.
fn set_days(params: &mut CertificateParams, count: u32) {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    let now = rcgen::date_time_ymd(1970, 1, 1) + since;
    params.not_before = now - DAY * EARLIER_DAYS;
    params.not_after = now + DAY * count;
}

fn der_of(pem: &str) -> Option<Vec<u8>> {
    use base64::Engine;
    let inner = pem.split_once("-----BEGIN CERTIFICATE-----")?.1.split_once("-----END CERTIFICATE-----")?.0;
    let letters: String = inner.split_whitespace().collect();
    base64::engine::general_purpose::STANDARD.decode(letters).ok()
}

/// A file that only its owner reads; never over one that is there.
pub fn write_private(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut file = options.open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustls::pki_types::{ServerName, UnixTime};

    fn opened(name: &str) -> (std::path::PathBuf, Authority) {
        let folder = std::env::temp_dir().join(format!("tailplate-secure-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        let authority = Authority::open(&folder, Id([1; 16])).unwrap();
        (folder, authority)
    }

    /// As a phone looks at it that trusts the authority.
    fn is_trusted(root: &[u8], leaf: &CertifiedKey, name: &str, days_on: u64) -> Result<(), String> {
        let mut roots = rustls::RootCertStore::empty();
        roots.add(CertificateDer::from(root.to_vec())).unwrap();
        let provider = Arc::new(ring::default_provider());
        let verifier = rustls::client::WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider);
        let now = SystemTime::now() + DAY * days_on as u32;
        let now = UnixTime::since_unix_epoch(now.duration_since(SystemTime::UNIX_EPOCH).unwrap());
        let name = ServerName::try_from(name.to_owned()).unwrap();
        use rustls::client::danger::ServerCertVerifier;
        let verified = verifier.build().unwrap().verify_server_cert(&leaf.cert[0], &leaf.cert[1..], &name, &[], now);
        verified.map(|_| ()).map_err(|error| error.to_string())
    }

    #[test]
    fn a_leaf_is_trusted_by_who_trusts_the_authority_also_after_a_restart() {
        let (folder, authority) = opened("trust");
        let again = Authority::open(&folder, Id([1; 16])).unwrap();
        assert_eq!(again.fingerprint(), authority.fingerprint());
        let addresses = [IpAddr::from([192, 168, 1, 5]), IpAddr::from([127, 0, 0, 1])];
        let leaf = again.leaf(&["tailplate-1a2b.local".into(), "localhost".into()], &addresses).unwrap();
        for name in ["tailplate-1a2b.local", "localhost", "192.168.1.5", "127.0.0.1"] {
            is_trusted(authority.der(), &leaf, name, 0).unwrap();
            is_trusted(authority.der(), &leaf, name, 59).unwrap();
        }
        assert!(is_trusted(authority.der(), &leaf, "192.168.1.6", 0).is_err());
        assert!(is_trusted(authority.der(), &leaf, "localhost", 61).is_err());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            assert_eq!(fs::metadata(folder.join("authority.key")).unwrap().permissions().mode() & 0o777, 0o600);
        }
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn the_authority_is_worth_nothing_outside_of_a_home_network() {
        let (folder, authority) = opened("outside");
        let leaf = authority.leaf(&["shop.example".into()], &[IpAddr::from([203, 0, 113, 7])]).unwrap();
        for name in ["shop.example", "203.0.113.7"] {
            let told = is_trusted(authority.der(), &leaf, name, 0).unwrap_err();
            assert!(told.contains("NameConstraint"), "{told}");
        }
        assert!(Shown::new(authority, vec!["shop.example".into()]).is_err());
        fs::remove_dir_all(folder).unwrap();
        assert!(is_home_name("till.lan") && is_home_name("localhost") && is_home_name("a.b.home.arpa"));
        assert!(!is_home_name("evillocal") && !is_home_name(".local") && !is_home_name("local.example"));
    }
}
