//! The certificate as a configuration profile, the one file from which an iPhone or iPad installs it.
//!
//! Plain XML, not signed: a signature would need a certificate that the phone already trusts. The format is
//! Apple's published one: a `Configuration` with one payload of type `com.apple.security.root`.
use sha2::{Digest, Sha256};
use uuid::Uuid;

/// The profile's text. The same certificate gives the same ids, so that installing it again replaces it.
#[must_use]
pub fn text(authority_pem: &str, host: &str) -> String {
    // What stands between a PEM's first and last line is the base64 that the profile wants.
    let content: String = authority_pem.lines().filter(|line| !line.starts_with("-----")).collect();
    let [whole, payload] = ids(content.as_bytes());
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
  <key>PayloadType</key><string>Configuration</string>
  <key>PayloadVersion</key><integer>1</integer>
  <key>PayloadIdentifier</key><string>tripoise.{whole}</string>
  <key>PayloadUUID</key><string>{whole}</string>
  <key>PayloadDisplayName</key><string>Tripoise at {host}</string>
  <key>PayloadDescription</key><string>Lets this device trust the studio's own server at {host}, and nothing on the internet.</string>
  <key>PayloadContent</key>
  <array>
    <dict>
      <key>PayloadType</key><string>com.apple.security.root</string>
      <key>PayloadVersion</key><integer>1</integer>
      <key>PayloadIdentifier</key><string>tripoise.{whole}.{payload}</string>
      <key>PayloadUUID</key><string>{payload}</string>
      <key>PayloadDisplayName</key><string>The studio's certificate</string>
      <key>PayloadContent</key>
      <data>{content}</data>
    </dict>
  </array>
</dict>
</plist>
"#
    )
}

/// Two ids from the certificate, in the form that is left to applications (RFC 9562, 5.8).
fn ids(certificate: &[u8]) -> [Uuid; 2] {
    let hash: [u8; 32] = Sha256::digest(certificate).into();
    let half = |start: usize| {
        uuid::Builder::from_custom_bytes(std::array::from_fn(|at| hash[start + at])).into_uuid()
    };
    [half(0), half(16)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_profile_names_its_studio_and_is_stable() {
        let pem = "-----BEGIN CERTIFICATE-----\nYSBjZXJ0\naWZpY2F0ZQ==\n-----END CERTIFICATE-----\n";
        let text = text(pem, "clay-shed.local");
        assert_eq!(text, super::text(pem, "clay-shed.local"));
        assert!(text.contains("<data>YSBjZXJ0aWZpY2F0ZQ==</data>"));
        assert!(text.contains("Tripoise at clay-shed.local"));
        let [whole, payload] = ids(b"a certificate");
        assert_ne!(whole, payload);
        assert_eq!(whole.get_version_num(), 8);
    }
}
