//! The page that walks a phone through trusting the shop's own certificate authority, once.
//!
//! It stands on the same HTTPS address: the phone warns, as it must, and lets the person go on to this page.

/// Where the certificate itself is.
pub const FILE: &str = "/trust/tailplate.crt";
pub const STYLE: &str = "/trust/style.css";

pub const STYLE_TEXT: &str = "\
body{font:1.1rem/1.5 system-ui,sans-serif;max-width:40rem;margin:0 auto;padding:1rem;color:#1a1712;background:#fbf7ee}\
h2{margin-top:2rem}code{font-size:1rem;overflow-wrap:anywhere}\
a.do{display:inline-block;padding:.8rem 1.2rem;background:#1a1712;color:#fff;border-radius:.4rem}\
@media(prefers-color-scheme:dark){body{color:#f3ecdc;background:#1a1712}a{color:#e8c66a}a.do{background:#e8c66a;color:#1a1712}}\n";

/// `fingerprint`: of the authority, in pairs of hex digits.
pub fn page(fingerprint: &str) -> String {
    format!(
        "<!doctype html>
<html lang=\"en\">
<meta charset=\"utf-8\">
<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">
<title>Trust this shop's computer</title>
<link rel=\"stylesheet\" href=\"{STYLE}\">
<h1>Trust this shop's computer</h1>
<p>This phone does not know your shop's computer yet, so it warned you. Do the steps below once, and the warning is gone;
camera and working without network need it.</p>
<p>What you install can vouch only for computers in a home or shop network. It gives nobody a look at anything else you do.</p>
<p><a class=\"do\" href=\"{FILE}\" download=\"tailplate.crt\">Get the shop's certificate</a></p>

<h2>First compare</h2>
<p>The shop's computer shows this line in its window too. If yours differs, stop: somebody else is answering.</p>
<p><code>{fingerprint}</code></p>

<h2>iPhone and iPad</h2>
<ol>
<li>Open this page in Safari, get the certificate with the button above, and allow the download.</li>
<li>Open Settings. At the top stands “Profile Downloaded”: open it and choose Install.</li>
<li>Go to General, About, Certificate Trust Settings (at the very end) and switch “Tailplate of shop …” on.</li>
</ol>

<h2>Android</h2>
<ol>
<li>Get the certificate with the button above.</li>
<li>Open Settings and search for “CA certificate”. It stands under Security, Encryption or Credentials, Install a
certificate.</li>
<li>The phone warns that others could read along; for this certificate that holds only within your own network. Choose
Install anyway, and the file tailplate.crt.</li>
</ol>

<h2>Windows</h2>
<ol>
<li>Get the certificate, open the file, choose Install Certificate, then Current User.</li>
<li>Choose “Place all certificates in the following store”, Browse, Trusted Root Certification Authorities, Finish.</li>
</ol>

<h2>Mac</h2>
<ol>
<li>Get the certificate and open it: Keychain Access takes it into “login”.</li>
<li>Open it there, unfold Trust, and set “When using this certificate” to Always Trust.</li>
</ol>

<h2>Linux, and Firefox anywhere</h2>
<ol>
<li>In Firefox: Settings, search “certificates”, View Certificates, Authorities, Import; tick “identify websites”.</li>
<li>In Chromium: open chrome://settings/certificates, Authorities or Custom, Import; tick “identifying websites”.</li>
</ol>

<h2>Then</h2>
<p>Close this page fully, <a href=\"/\">open Tailplate</a>: no warning comes any more. Scan the square code on the shop's
computer to pair this device.</p>
<p>To take it back, remove the certificate in the same place of the settings.</p>
</html>
"
    )
}
