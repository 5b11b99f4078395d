//! How fast is it, how much does it hold, and how does that grow? Each figure stands beside that of
//! the bare library underneath, measured on the same data in the same run.
//! `cargo run --release --example bench -- scale [--records N]`

mod figures;
mod scale;

use std::process::ExitCode;

type Failure = Box<dyn std::error::Error + Send + Sync>;

const USAGE: &str = "\
bench scale [--records N,N,...]   store, search and diagnosis with so many records";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (first, rest) = words.split_first().map_or(("", &words[..]), |(a, b)| (a.as_str(), b));
    let outcome: Result<(), Failure> = match first {
        "scale" => scale::run(rest),
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
