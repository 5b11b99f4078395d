//! `sward`: arguments -> request -> reply -> text or JSON. No decisions are made here.

mod add;
mod amend;
mod ask;
mod call;
mod chat;
mod commands;
mod compute;
mod demo;
mod diagnose;
mod find;
mod fleet;
mod guide;
mod interpret;
mod json;
mod knowledge;
mod page;
mod picture;
mod record;
mod records;
mod remote;
mod status;
mod tables;
mod teach;

use std::process::ExitCode;

use clap::Parser;

use commands::{Arguments, Command};

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let runtime = match tokio::runtime::Builder::new_current_thread().enable_all().build() {
        Ok(runtime) => runtime,
        Err(error) => return call::Failure::from(error).report(),
    };
    match runtime.block_on(run(arguments)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}

async fn run(arguments: Arguments) -> Result<(), call::Failure> {
    let globals = &arguments.globals;
    match arguments.command {
        Command::Diagnose(asked) => diagnose::run(globals, asked).await,
        Command::Compute(asked) => compute::run(globals, &asked).await,
        Command::Due(asked) => fleet::due(globals, &asked).await,
        Command::Report(asked) => fleet::report(globals, &asked).await,
        Command::Sheet(asked) => fleet::sheet(globals, &asked).await,
        Command::Plan(asked) => fleet::plan(globals, &asked).await,
        Command::Interpret(asked) => interpret::run(globals, asked).await,
        Command::Find(asked) => find::run(globals, asked).await,
        Command::Add(asked) => add::run(globals, &asked).await,
        Command::Record(asked) => record::run(globals, &asked).await,
        Command::Amend(asked) => amend::run(globals, &asked).await,
        Command::Log(asked) => records::log(globals, &asked).await,
        Command::Learn(asked) => records::learn(globals, &asked).await,
        Command::Import(asked) => tables::import(globals, &asked).await,
        Command::Export(asked) => tables::export(globals, &asked).await,
        Command::Backup(asked) => tables::backup(globals, &asked).await,
        Command::Restore(asked) => tables::restore(globals, &asked).await,
        Command::Demo(asked) => demo::run(globals, &asked).await,
        Command::Guide(asked) => guide::run(globals, asked).await,
        Command::Chat(asked) => chat::run(globals, asked).await,
        Command::Teach(asked) => teach::run(globals, asked).await,
        Command::Status(asked) => status::run(globals, &asked).await,
        Command::Knowledge(asked) => knowledge::run(globals, &asked),
        Command::Completions { shell } => commands::completions(shell),
        Command::Manual => commands::manual(),
    }
}
