//! How a phone in the shop finds the hub: a square code on its screen, and a name on the network.

use qrcode::render::{svg, unicode};
use qrcode::{EcLevel, QrCode};
use tailplate_core::sync::Id;

/// What a phone scans. The code stands behind the `#`, so it is never sent or logged by opening the address.
pub struct Pairing {
    pub url: String,
}

pub fn pairing(base: &str, code: &str) -> Pairing {
    Pairing { url: format!("{base}#/pair/{code}") }
}

impl Pairing {
    /// For a page, in the ink of the page around it.
    pub fn svg(&self) -> String {
        square(&self.url, |code| {
            let mut drawn = code.render::<svg::Color>();
            drawn.min_dimensions(240, 240).dark_color(svg::Color("#000")).light_color(svg::Color("#fff")).build()
        })
    }

    /// For a terminal, dark or light.
    pub fn text(&self) -> String {
        text(&self.url)
    }
}

/// Any address as a square for a terminal.
pub fn text(url: &str) -> String {
    square(url, |code| {
        // Terminals are mostly dark: what is light on paper is drawn.
        let mut drawn = code.render::<unicode::Dense1x2>();
        drawn.dark_color(unicode::Dense1x2::Light).light_color(unicode::Dense1x2::Dark).build()
    })
}

fn square(url: &str, draw: impl Fn(&QrCode) -> String) -> String {
    // Too long for any square: the address itself is shown beside it anyway.
    QrCode::with_error_correction_level(url, EcLevel::M).map(|code| draw(&code)).unwrap_or_default()
}

/// A code as it is read out: two groups of four.
pub fn spoken(code: &str) -> String {
    let (one, two) = code.split_at(code.len() / 2);
    format!("{one} {two}")
}

/// The hub's own name on the network; of one shop always the same.
pub fn local_name(shop: Id) -> String {
    format!("tailplate-{}.local", &shop.hex()[..4])
}

/// Says on the network that the hub is here, until dropped.
pub struct Announced(mdns_sd::ServiceDaemon);

impl Announced {
    /// None where the network does not take it: figures and square code serve all the same.
    pub fn start(shop: Id, port: u16) -> Option<Self> {
        let name = local_name(shop);
        let daemon = mdns_sd::ServiceDaemon::new().ok()?;
        let instance = format!("Tailplate {}", &shop.hex()[..4]);
        let service = mdns_sd::ServiceInfo::new("_https._tcp.local.", &instance, &format!("{name}."), "", port, None);
        let service = service.ok()?.enable_addr_auto();
        daemon.register(service).ok()?;
        Some(Self(daemon))
    }
}

impl Drop for Announced {
    fn drop(&mut self) {
        let _ = self.0.shutdown();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_stands_behind_the_hash_of_the_address() {
        let pairing = pairing("https://192.168.1.5:7420/", "ABCD2345");
        assert_eq!(pairing.url, "https://192.168.1.5:7420/#/pair/ABCD2345");
        assert!(pairing.svg().contains("<svg") && !pairing.svg().contains("script"));
        assert!(pairing.text().lines().count() > 10);
        assert_eq!(spoken("ABCD2345"), "ABCD 2345");
        assert_eq!(local_name(Id([0x1a; 16])), "tailplate-1a1a.local");
    }
}
