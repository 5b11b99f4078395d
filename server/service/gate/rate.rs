//! How often may one client call? A bucket of calls for each, filled steadily.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::config::CLIENTS_MAX;

/// Whose calls are counted together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Client {
    /// The holder of a token, by its number.
    Token(u32),
    /// An address without a token; for IPv6 the network of one connection, its first 64 bits.
    Address(IpAddr),
}

impl Client {
    pub fn at(address: IpAddr) -> Client {
        match address.to_canonical() {
            IpAddr::V6(address) => {
                let network = address.to_bits() & !u128::from(u64::MAX);
                Client::Address(Ipv6Addr::from_bits(network).into())
            }
            address => Client::Address(address),
        }
    }
}

struct Bucket {
    calls: f64,
    at: Instant,
}

/// The buckets of all clients.
pub struct Rates {
    per_second: f64,
    burst: f64,
    buckets: Mutex<HashMap<Client, Bucket>>,
}

impl Rates {
    /// Twice the calls of a second may come at once.
    pub fn new(per_second: u32) -> Rates {
        let per_second = f64::from(per_second);
        Rates { per_second, burst: 2.0 * per_second, buckets: Mutex::default() }
    }

    /// Takes one call, or says how long to wait for the next.
    pub fn take(&self, client: Client, now: Instant) -> Result<(), Duration> {
        // Every state of the map is a sound one, so a panic elsewhere leaves nothing half done.
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= CLIENTS_MAX && !buckets.contains_key(&client) {
            self.forget(&mut buckets, now);
        }
        let bucket = buckets.entry(client).or_insert(Bucket { calls: self.burst, at: now });
        bucket.calls = self.filled(bucket, now);
        bucket.at = now;
        if bucket.calls >= 1.0 {
            bucket.calls -= 1.0;
            return Ok(());
        }
        Err(Duration::from_secs_f64((1.0 - bucket.calls) / self.per_second))
    }

    fn filled(&self, bucket: &Bucket, now: Instant) -> f64 {
        let waited = now.saturating_duration_since(bucket.at).as_secs_f64();
        (bucket.calls + waited * self.per_second).min(self.burst)
    }

    /// A full bucket says nothing; when all have been busy, the one quiet the longest goes.
    fn forget(&self, buckets: &mut HashMap<Client, Bucket>, now: Instant) {
        buckets.retain(|_, bucket| self.filled(bucket, now) < self.burst);
        let oldest = buckets.iter().min_by_key(|(_, bucket)| bucket.at).map(|(client, _)| *client);
        if buckets.len() >= CLIENTS_MAX
            && let Some(client) = oldest
        {
            buckets.remove(&client);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLIENT: Client = Client::Token(1);

    #[test]
    fn a_burst_then_the_rate_then_full_again() {
        let rates = Rates::new(10);
        let start = Instant::now();
        let passed = (0..50).filter(|_| rates.take(CLIENT, start).is_ok()).count();
        assert_eq!(passed, 20);
        let wait = rates.take(CLIENT, start).expect_err("empty");
        assert!((wait.as_secs_f64() - 0.1).abs() < 1e-9, "{wait:?}");
        let later = start + wait;
        assert!(rates.take(CLIENT, later).is_ok() && rates.take(CLIENT, later).is_err());
        let rested = later + Duration::from_secs(60);
        let passed = (0..50).filter(|_| rates.take(CLIENT, rested).is_ok()).count();
        assert_eq!(passed, 20);
    }

    #[test]
    fn one_client_does_not_slow_another() {
        let rates = Rates::new(1);
        let now = Instant::now();
        while rates.take(CLIENT, now).is_ok() {}
        assert!(rates.take(Client::Token(2), now).is_ok());
    }

    #[test]
    fn what_is_remembered_is_bounded() {
        let rates = Rates::new(1);
        let now = Instant::now();
        for id in 0..u32::try_from(CLIENTS_MAX).expect("small") + 100 {
            assert!(rates.take(Client::Token(id), now).is_ok());
        }
        assert_eq!(rates.buckets.lock().expect("sound").len(), CLIENTS_MAX);
    }

    #[test]
    fn addresses_of_one_ipv6_network_are_one_client() {
        let at = |text: &str| Client::at(text.parse().expect("an address"));
        // Documentation prefixes, RFC 3849 and RFC 5737.
        assert_eq!(at("2001:db8::1"), at("2001:db8::ffff:1"));
        assert_ne!(at("2001:db8::1"), at("2001:db8:0:1::1"));
        assert_eq!(at("::ffff:192.0.2.1"), at("192.0.2.1"));
    }
}
