//! What does whoever runs the server do besides serving? Tokens, and the shop's own certificates.

use std::io::Write as _;
use std::path::PathBuf;

use clap::{Args, Subcommand};
use sward_core::service::access::{certificates, roles, tokens::Tokens};

use super::{Failure, data_or_default};

#[derive(Subcommand)]
pub enum Work {
    /// Work on the tokens that let callers in
    Token(TokenArguments),
    /// Make certificates of the shop's own
    Cert(CertArguments),
}

#[derive(Args)]
pub struct TokenArguments {
    /// Directory of records and index
    #[arg(long, global = true)]
    data: Option<PathBuf>,
    #[command(subcommand)]
    work: TokenWork,
}

#[derive(Subcommand)]
enum TokenWork {
    /// Make a token; it is shown this once
    Add {
        /// What its holder may do: reader, mechanic, manager
        #[arg(long, value_parser = ["reader", "mechanic", "manager"])]
        role: String,
        /// Where it is used, such as "bench tablet"
        #[arg(long)]
        label: String,
    },
    /// Show the tokens, without what they are
    List,
    /// End a token at once
    Revoke {
        /// Its number in the list
        id: u32,
    },
    /// Show which role may make which call
    Roles,
}

#[derive(Args)]
pub struct CertArguments {
    /// Directory of records and index
    #[arg(long, global = true)]
    data: Option<PathBuf>,
    #[command(subcommand)]
    work: CertWork,
}

#[derive(Subcommand)]
enum CertWork {
    /// Make an authority, unless there is one, and a certificate for this server
    Init {
        /// Name or address that clients use for this machine; can be repeated
        #[arg(long, required = true)]
        host: Vec<String>,
    },
    /// Make a certificate for a client, for servers that ask for one
    Client {
        /// Name of the client: a to z, 0 to 9 and "-"
        name: String,
    },
}

pub fn run(work: Work) -> Result<(), Failure> {
    let text = match work {
        Work::Token(TokenArguments { data, work }) => {
            tokens(&Tokens::of(&data_or_default(data)), work)?
        }
        Work::Cert(CertArguments { data, work }) => cert(&data_or_default(data), work)?,
    };
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        // A reader that has enough is no failure.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        written => Ok(written?),
    }
}

fn tokens(tokens: &Tokens, work: TokenWork) -> Result<String, Failure> {
    let now = jiff::Timestamp::from_second(jiff::Timestamp::now().as_second())?;
    match work {
        TokenWork::Add { role, label } => {
            let role = roles::Role::named(&role).ok_or("clap lets only roles through")?;
            let token = tokens.add(role, &label, now)?;
            eprintln!("Keep this token now: it is not shown again. Hand it over as SWARD_TOKEN.");
            Ok(format!("{token}\n"))
        }
        TokenWork::List => {
            let mut text = format!("{:>4}  {:8}  {:20}  {:20}  label\n", "id", "role", "made", "revoked");
            for token in tokens.list()? {
                let role = token.role().map_or("", roles::Role::name);
                let revoked = token.revoked.as_deref().unwrap_or("-");
                text.push_str(&format!(
                    "{:4}  {role:8}  {:20}  {revoked:20}  {}\n",
                    token.id, token.created, token.label
                ));
            }
            Ok(text)
        }
        TokenWork::Revoke { id } => {
            let token = tokens.revoke(id, now)?;
            Ok(format!("token {id} ({}) lets nobody in any more\n", token.label))
        }
        TokenWork::Roles => Ok(roles::table()),
    }
}

fn cert(data: &std::path::Path, work: CertWork) -> Result<String, Failure> {
    let today = jiff::ZonedDateTime::now().date();
    match work {
        CertWork::Init { host } => {
            let authority = certificates::init(data, &host, today)?;
            let authority = authority.display();
            Ok(format!(
                "The server has a certificate for {}. Copy this file to each client, and name it \
                 there with --ca:\n{authority}\nThe keys beside it stay here.\n",
                host.join(", ")
            ))
        }
        CertWork::Client { name } => {
            let (certificate, key) = certificates::client(data, &name, today)?;
            Ok(format!(
                "Move both files to the client, and name them there with --client-cert and \
                 --client-key:\n{}\n{}\n",
                certificate.display(),
                key.display()
            ))
        }
    }
}
