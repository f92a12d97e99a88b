//! Guessing at pairing codes gets slower and slower, but nobody is shut out for good.
//!
//! There are two waits, both after wrong codes only. One is by address: a phone with a clumsy thumb waits a
//! second or two, a program that tries them all waits a minute each time. The other is by code, since a
//! program can have many addresses: it stays short, so that it cannot be used to keep everybody out.
//!
//! With 16^8 codes, ten minutes and one try in four seconds, 159 guesses find one with a chance of
//! 159 / 4.3e9, about 1 in 27 million.
use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv6Addr};
use std::time::{Duration, Instant};

/// House choice: 1 s doubles to a minute with the seventh wrong code from one address.
const LONGEST_BY_ADDRESS: Duration = Duration::from_secs(60);

/// House choice: see the arithmetic above.
const LONGEST_BY_CODE: Duration = Duration::from_secs(4);

/// House choice: so many wrong codes from anywhere cost nothing: three phones mistyping twice.
const FREE_BY_CODE: u32 = 6;

/// House choice: as long as a code lives. After that an address starts afresh.
const FORGOTTEN_AFTER: Duration = Duration::from_secs(600);

/// House choice: 1,024 addresses are a few dozen kilobytes. Beyond that, the ones quiet longest are
/// forgotten; the wait by code still holds.
const MOST_ADDRESSES: usize = 1024;

#[derive(Clone, Copy, Debug)]
struct Tries {
    n_wrong: u32,
    last: Instant,
}

impl Tries {
    fn wait(&self, free: u32, longest: Duration) -> Duration {
        let Some(beyond) = self.n_wrong.checked_sub(free + 1) else { return Duration::ZERO };
        Duration::from_secs(1_u64.checked_shl(beyond).unwrap_or(u64::MAX)).min(longest)
    }
}

/// Who has guessed how often. Time comes from outside.
#[derive(Debug, Default)]
pub struct Delays {
    by_address: BTreeMap<IpAddr, Tries>,
    by_code: Option<Tries>,
}

impl Delays {
    /// How long a try from this address still has to wait; `None` when it may be made now.
    #[must_use]
    pub fn wait(&self, address: IpAddr, now: Instant) -> Option<Duration> {
        let one = self.by_address.get(&group(address)).map(|tries| (tries, 0, LONGEST_BY_ADDRESS));
        let all = self.by_code.as_ref().map(|tries| (tries, FREE_BY_CODE, LONGEST_BY_CODE));
        let waits = one.into_iter().chain(all).filter_map(|(tries, free, longest)| {
            (tries.last + tries.wait(free, longest))
                .checked_duration_since(now)
                .filter(|left| !left.is_zero())
        });
        waits.max()
    }

    /// A wrong code came from this address.
    pub fn wrong(&mut self, address: IpAddr, now: Instant) {
        self.by_address.retain(|_, tries| now.duration_since(tries.last) < FORGOTTEN_AFTER);
        if self.by_address.len() >= MOST_ADDRESSES {
            let quietest = self.by_address.iter().min_by_key(|(_, tries)| tries.last).map(|(key, _)| *key);
            quietest.map(|key| self.by_address.remove(&key));
        }
        let tries = self.by_address.entry(group(address)).or_insert(Tries { n_wrong: 0, last: now });
        *tries = Tries { n_wrong: tries.n_wrong.saturating_add(1), last: now };
        let before = self.by_code.filter(|tries| now.duration_since(tries.last) < FORGOTTEN_AFTER);
        let n_wrong = before.map_or(0, |tries| tries.n_wrong).saturating_add(1);
        self.by_code = Some(Tries { n_wrong, last: now });
    }

    /// The right code came from this address.
    pub fn right(&mut self, address: IpAddr) {
        self.by_address.remove(&group(address));
        self.by_code = None;
    }
}

/// One machine has a whole /64 of version 6 to itself (RFC 4291, 2.5.4): it counts as one address.
fn group(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(v6) => Ipv6Addr::from_bits(v6.to_bits() & (u128::MAX << 64)).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIRST: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 168, 1, 20));

    fn second(n: u64) -> Duration {
        Duration::from_secs(n)
    }

    #[test]
    fn each_wrong_code_doubles_the_wait_up_to_a_minute() {
        let (mut delays, mut now) = (Delays::default(), Instant::now());
        assert_eq!(delays.wait(FIRST, now), None);
        for wait in [1, 2, 4, 8, 16, 32, 60, 60, 60] {
            delays.wrong(FIRST, now);
            assert_eq!(delays.wait(FIRST, now), Some(second(wait)));
            now += second(wait);
            assert_eq!(delays.wait(FIRST, now), None, "it ends: nobody is shut out for good");
        }
        delays.right(FIRST);
        delays.wrong(FIRST, now);
        assert_eq!(delays.wait(FIRST, now), Some(second(1)));
    }

    #[test]
    fn many_addresses_cannot_guess_faster_than_one_in_four_seconds() {
        let (mut delays, start) = (Delays::default(), Instant::now());
        let (mut now, mut n_tries) = (start, 0);
        while now < start + second(600) {
            // A new address each time, of a network with plenty.
            let address = IpAddr::from(std::net::Ipv4Addr::from_bits(0x0a00_0000 + n_tries));
            now += delays.wait(address, now).unwrap_or_default();
            delays.wrong(address, now);
            n_tries += 1;
        }
        // Beside the free ones, those after 0, 1 and 2 s.
        assert_eq!(n_tries, 150 + FREE_BY_CODE + 3);
        assert!(
            delays.wait(FIRST, now).is_some_and(|wait| wait <= second(4)),
            "an honest phone waits little"
        );
    }

    #[test]
    fn one_machine_s_version_6_addresses_count_as_one() -> Result<(), std::net::AddrParseError> {
        let (mut delays, now) = (Delays::default(), Instant::now());
        delays.wrong("fd00::1".parse()?, now);
        assert!(delays.wait("fd00::2".parse()?, now).is_some());
        assert!(delays.wait("fd00:0:0:1::2".parse()?, now).is_none());
        Ok(())
    }

    #[test]
    fn what_is_remembered_stays_small() {
        let (mut delays, now) = (Delays::default(), Instant::now());
        for n in 0..5000_u32 {
            delays
                .wrong(IpAddr::from(std::net::Ipv4Addr::from_bits(n)), now + Duration::from_millis(n.into()));
        }
        assert_eq!(delays.by_address.len(), MOST_ADDRESSES);
        let later = now + FORGOTTEN_AFTER + second(10);
        delays.wrong(FIRST, later);
        assert_eq!(delays.by_address.len(), 1);
        assert_eq!(delays.wait(FIRST, later), Some(second(1)));
    }
}
