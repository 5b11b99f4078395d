//! `sward chat`: a conversation. Lines go to `Converse`, what comes back is shown; nothing is
//! understood or decided here. Ctrl-C ends an answer and not the program, Ctrl-D leaves; what was
//! begun is kept by the server.

mod complete;
mod editor;
mod show;
mod thread;

use std::io::IsTerminal as _;

use clap::Args;
use sward_core::pb;
use sward_core::pb::converse_request::Payload;
use sward_core::pb::converse_response::Payload as Told;
use tonic::Code;

use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::records::full_name;
use editor::{Editor, Typed};
use show::Screen;
use thread::Thread;

#[derive(Args)]
pub struct ChatArguments {
    /// Say this, show the answer and leave. What would be stored is only shown
    #[arg(value_name = "WORDS")]
    pub say: Option<String>,
    /// Plain lines for pipes: no colour, no prompt, no pages
    #[arg(long)]
    pub plain: bool,
    /// The unit, machine or area that is spoken of: greens-triplex/2, areas/6-green
    #[arg(long, value_name = "UNIT", default_value = "", hide_default_value = true)]
    pub unit: String,
}

pub async fn run(globals: &Globals, asked: ChatArguments) -> Result<(), Failure> {
    let once = asked.say.is_some();
    let plain = asked.plain || once || !std::io::stdin().is_terminal();
    let start = pb::ConverseStart {
        subject: full_name(&asked.unit),
        ..pb::ConverseStart::default()
    };
    let line = call::line(globals).await?;
    let mut thread = Thread::begin(line.clone(), start).await?;
    let words = if plain { Vec::new() } else { complete::words(line).await };
    let mut editor = Editor::start(plain, words, call::data(globals))?;
    let mut screen = Screen::new(plain, globals.units);
    if let Some(text) = asked.say {
        let payload = Payload::Text(text);
        return turn(globals, &mut thread, &mut screen, &mut editor, payload).await;
    }
    if !plain {
        screen.say("Say what is wrong, what you did, or what you want to know. \"help\" shows how; \
                    Ctrl-D leaves.")?;
    }
    loop {
        match editor.line("> ").await {
            Typed::Line(text) if text.trim().is_empty() => {}
            Typed::Line(text) if leaves(&text) => break,
            Typed::Line(text) => {
                let payload = Payload::Text(text);
                turn(globals, &mut thread, &mut screen, &mut editor, payload).await?;
            }
            // An answer is not being worked out, so there is only the line to clear.
            Typed::Interrupted => {}
            Typed::End => break,
            Typed::Failed(error) => return Err(error.into()),
        }
    }
    if screen.in_a_job() {
        screen.say("Your job is kept as a draft; \"resume\" takes it up again.")?;
    }
    Ok(())
}

fn leaves(text: &str) -> bool {
    matches!(text.trim().to_lowercase().as_str(), "exit" | "bye" | "goodbye" | "leave the chat")
}

/// One message and everything that comes for it.
async fn turn(
    globals: &Globals,
    thread: &mut Thread,
    screen: &mut Screen,
    editor: &mut Editor,
    payload: Payload,
) -> Result<(), Failure> {
    thread.send(payload).await;
    loop {
        let told = tokio::select! {
            told = thread.next() => told,
            // Without a way to hear Ctrl-C the answer comes all the same.
            Ok(()) = tokio::signal::ctrl_c() => {
                thread.cancel().await;
                continue;
            }
        };
        match told {
            Ok(response) => {
                screen.note(&response);
                let ended = matches!(response.payload, Some(Told::TurnEnd(_)));
                if ended && response.request_number == thread.number() {
                    break;
                }
            }
            Err(status) if lost(status.code()) => {
                if !thread.again(call::line(globals).await?).await? {
                    screen.say("The connection was lost and the conversation with it. \"drafts\" \
                                lists the jobs that are kept.")?;
                    return Ok(());
                }
            }
            Err(status) => return Err(status.into()),
        }
    }
    screen.show(editor).await?;
    thread.received().await;
    Ok(())
}

/// Whether a call may have ended because the connection did.
fn lost(code: Code) -> bool {
    use Code::{Cancelled, DeadlineExceeded, Unavailable, Unknown};
    matches!(code, Unavailable | Unknown | Cancelled | DeadlineExceeded)
}
