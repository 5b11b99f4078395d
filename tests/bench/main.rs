//! How fast is it, how much does it hold, and how does that grow? Each figure stands beside that of
//! the bare library underneath, measured on the same data in the same run.
//! `cargo run --release --example bench -- scale [--records N]`, and so `rpc` (what a call costs) and
//! `load` (many clients for a long time, with `--faults` while things go wrong).

#[path = "../load/crowd/mod.rs"]
mod crowd;
mod figures;
mod fleet;
mod load;
mod program;
#[path = "../raw_call.rs"]
mod raw_call;
mod rpc;
mod scale;

use std::process::ExitCode;

type Failure = Box<dyn std::error::Error + Send + Sync>;

const USAGE: &str = "\
bench scale [--records N,N,...]   store, search and diagnosis with so many records
bench fleet [--records N]         every answer about a fleet of three hundred units
bench rpc                         what a call costs, beside a server that does nothing
bench load [--minutes N] [--clients N] [--faults]   many clients at once, for long";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (first, rest) = words.split_first().map_or(("", &words[..]), |(a, b)| (a.as_str(), b));
    let outcome: Result<(), Failure> = match first {
        "scale" => scale::run(rest),
        "fleet" => fleet::run(rest),
        "rpc" => rpc::run(rest),
        "load" => load::run(rest),
        _ => Err(USAGE.into()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}
