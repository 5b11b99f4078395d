//! How are the calculations and their flags offered to the parser, the help and the completions?

use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, value_parser};
use prost_reflect::Kind;

use super::contract::{self, Calculation, Flag};
use super::rows;
use crate::commands::Output;
use crate::picture;

/// `sward compute` and what follows: none lists the calculations.
pub struct ComputeArguments {
    pub asked: Option<(&'static Calculation, ArgMatches)>,
}

impl FromArgMatches for ComputeArguments {
    fn from_arg_matches(matches: &ArgMatches) -> Result<ComputeArguments, clap::Error> {
        let asked = matches.subcommand().and_then(|(name, given)| {
            let mut all = contract::calculations().iter();
            all.find(|one| one.name == name).map(|one| (one, given.clone()))
        });
        Ok(ComputeArguments { asked })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = ComputeArguments::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Args for ComputeArguments {
    /// Put off until the command is asked for: other commands need not read the contract.
    fn augment_args(command: Command) -> Command {
        command.defer(|command| {
            command.subcommands(contract::calculations().iter().map(subcommand))
        })
    }

    fn augment_args_for_update(command: Command) -> Command {
        ComputeArguments::augment_args(command)
    }
}

fn subcommand(calculation: &'static Calculation) -> Command {
    let mut command = Command::new(calculation.name.as_str())
        .about(calculation.about.as_str())
        .args(calculation.flags.iter().map(argument))
        .arg(
            Arg::new("output")
                .long("output")
                .value_parser(value_parser!(Output))
                .default_value("text")
                .help("How to answer"),
        );
    if picture::drawn(&calculation.name) {
        let path = value_parser!(std::path::PathBuf);
        command = command.arg(
            Arg::new("picture")
                .long("picture")
                .value_name("FILE.svg")
                .value_parser(path)
                .help("Draw the answer into this file"),
        );
    }
    command
}

fn argument(flag: &'static Flag) -> Arg {
    let field = &flag.field;
    let mut argument = Arg::new(field.name())
        .long(flag.name.as_str())
        .visible_aliases(flag.alias)
        .allow_hyphen_values(true)
        .help_heading("Inputs")
        .value_name(flag.value_name.as_str());
    if field.is_list() {
        argument = argument.action(ArgAction::Append);
    }
    if !flag.choices.is_empty() {
        let choices = flag.choices.iter().map(String::as_str);
        argument = argument.value_parser(PossibleValuesParser::new(choices));
    }
    let mut help = flag.help.clone();
    if let Kind::Message(row) = field.kind() {
        help.push_str(&rows::how_to_write(&row));
    }
    argument.help(help)
}
