//! How long does a call take? Half of them, and all but one in a hundred.

use std::time::{Duration, Instant};

use prost::bytes::Bytes;
use tonic::codegen::http::uri::PathAndQuery;
use tonic::transport::Channel;

use crate::Failure;
use crate::raw_call;

/// Times, shortest first.
pub struct Pace(Vec<Duration>);

impl Pace {
    pub fn of(mut times: Vec<Duration>) -> Pace {
        times.sort();
        Pace(times)
    }

    /// Times work that is done here, after a quarter as much that is not counted.
    pub fn measure(
        times: usize,
        mut work: impl FnMut(usize) -> Result<(), Failure>,
    ) -> Result<Pace, Failure> {
        for at in 0..times / 4 {
            work(at)?;
        }
        let mut all = Vec::with_capacity(times);
        for at in 0..times {
            let start = Instant::now();
            work(times / 4 + at)?;
            all.push(start.elapsed());
        }
        Ok(Pace::of(all))
    }

    /// The time that this share of all does not exceed.
    pub fn at(&self, share: f64) -> Duration {
        let last = self.0.len().saturating_sub(1);
        self.0.get((last as f64 * share).round() as usize).copied().unwrap_or_default()
    }
}

/// One sort of call: the bodies in turn, over and over.
pub struct Turn {
    channel: Channel,
    path: PathAndQuery,
    bodies: Vec<Bytes>,
    next: usize,
}

impl Turn {
    pub fn new(channel: &Channel, path: PathAndQuery, bodies: Vec<Bytes>) -> Turn {
        Turn { channel: channel.clone(), path, bodies, next: 0 }
    }

    async fn call(&mut self) -> Result<Duration, Failure> {
        let body = self.bodies[self.next % self.bodies.len()].clone();
        self.next += 1;
        let start = Instant::now();
        raw_call::unary(&self.channel, self.path.clone(), body).await?;
        Ok(start.elapsed())
    }
}

/// Calls of two sorts, first one, then the other.
pub async fn in_turn(mut turns: [Turn; 2], calls: usize) -> Result<[Pace; 2], Failure> {
    let mut times = [Vec::with_capacity(calls), Vec::with_capacity(calls)];
    for at in 0..calls + calls / 4 {
        for (turn, times) in turns.iter_mut().zip(&mut times) {
            let time = turn.call().await?;
            if at >= calls / 4 {
                times.push(time);
            }
        }
    }
    Ok(times.map(Pace::of))
}
