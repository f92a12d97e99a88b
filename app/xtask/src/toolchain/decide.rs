//! Which compiler builds the browser bundle: a pure decision over a few facts.
//!
//! What this does not do: look at the machine or change it; that is [`super::find`].

/// What was found out about the machine.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Facts {
    /// The compiler in use has the standard library for wasm32.
    pub has_wasm_std: bool,
    /// `TRIPOISE_WASM=debian` is set.
    pub debian_asked: bool,
    /// rustup is there.
    pub rustup: bool,
    /// What `rustup target add` said when it failed.
    pub target_add_failed: Option<String>,
    /// Debian's packages that are still missing.
    pub debian_missing: Vec<&'static str>,
    /// Whether apt-get is there and may be used (as root or through sudo).
    pub may_install: bool,
    /// An install was tried and the packages are missing all the same.
    pub install_tried: bool,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// The compiler in use can do it.
    UseCurrent,
    /// Let rustup fetch the standard library, then look again.
    AddTarget,
    /// Install these packages, then look again.
    InstallDebian(Vec<&'static str>),
    /// Debian's compiler builds the standard library with the program.
    UseDebian,
    /// Nothing works; the text says what to do.
    Stuck(String),
}

/// The next step towards a compiler for the browser.
#[must_use]
pub fn decide(facts: &Facts) -> Step {
    if facts.has_wasm_std {
        return Step::UseCurrent;
    }
    if facts.rustup && !facts.debian_asked && facts.target_add_failed.is_none() {
        return Step::AddTarget;
    }
    if facts.debian_missing.is_empty() {
        return Step::UseDebian;
    }
    let packages = facts.debian_missing.join(" ");
    if facts.may_install && !facts.install_tried {
        return Step::InstallDebian(facts.debian_missing.clone());
    }
    let why = match &facts.target_add_failed {
        Some(said) => format!("`rustup target add wasm32-unknown-unknown` failed ({said})"),
        None if facts.debian_asked => "TRIPOISE_WASM=debian asks for Debian's compiler".to_owned(),
        None => "this compiler has no standard library for wasm32-unknown-unknown".to_owned(),
    };
    let (major, minor) = super::OLDEST;
    Step::Stuck(format!(
        "{why}; install version {major}.{minor} or newer as root with \
         `apt-get update && apt-get install {packages}`, then try again"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PACKAGES: [&str; 2] = ["rustc-web", "cargo-web"];

    fn missing() -> Vec<&'static str> {
        PACKAGES.to_vec()
    }

    fn check(facts: Facts, expected: Step) {
        assert_eq!(decide(&facts), expected, "{facts:?}");
    }

    #[test]
    fn what_is_there_is_used_whatever_else_is_asked() {
        check(Facts { has_wasm_std: true, ..Facts::default() }, Step::UseCurrent);
        check(
            Facts {
                has_wasm_std: true,
                debian_asked: true,
                rustup: true,
                debian_missing: missing(),
                ..Facts::default()
            },
            Step::UseCurrent,
        );
    }

    #[test]
    fn rustup_is_asked_first_unless_debian_is_wanted() {
        let facts = Facts { rustup: true, debian_missing: missing(), may_install: true, ..Facts::default() };
        check(facts.clone(), Step::AddTarget);
        check(Facts { debian_missing: vec![], ..facts.clone() }, Step::AddTarget);
        check(Facts { debian_asked: true, ..facts.clone() }, Step::InstallDebian(missing()));
        check(Facts { debian_asked: true, debian_missing: vec![], ..facts }, Step::UseDebian);
    }

    #[test]
    fn without_rustup_or_after_its_failure_debian_helps() {
        let no_rustup = Facts { debian_missing: missing(), may_install: true, ..Facts::default() };
        check(no_rustup.clone(), Step::InstallDebian(missing()));
        let failed = Facts { rustup: true, target_add_failed: Some("no network".into()), ..no_rustup };
        check(failed.clone(), Step::InstallDebian(missing()));
        check(Facts { debian_missing: vec![], ..failed }, Step::UseDebian);
    }

    #[test]
    fn who_may_not_install_is_told_what_and_why() {
        let failed = Facts {
            rustup: true,
            target_add_failed: Some("no network".into()),
            debian_missing: missing(),
            ..Facts::default()
        };
        check(
            failed.clone(),
            Step::Stuck(
                "`rustup target add wasm32-unknown-unknown` failed (no network); install version 1.95 or newer as \
                 root with `apt-get update && apt-get install rustc-web cargo-web`, then try again"
                    .into(),
            ),
        );
        let again = Facts { may_install: true, install_tried: true, ..failed };
        assert!(matches!(decide(&again), Step::Stuck(_)), "an install that did not help is not repeated");
    }
}
