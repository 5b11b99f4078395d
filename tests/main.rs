//! The one integration binary. Each module proves one thing; behaviour is tested in the domain, and
//! what is here either checks it against the world outside or proves the wiring.

// The rules of the house.
mod tidy;
// What is heard, refused and ranked on complaints nobody tuned to.
mod hearing;
// Who is hurt, what has to stop, what may be done; questions to the knowledge.
mod safety_said;
mod remedies_tried;
// Knowledge files: mistakes named by line; coverage.
mod knowledge;
// Diagnosis against published fixtures: decisions, inference, learning.
mod diagnosis_fixtures;
mod diagnosis_inference;
mod diagnosis_learning;
// Calculations against published values.
mod settings_a;
mod settings_b;
// The calculations asked through the command line and the wire, and their pictures.
mod compute;
// Free words to typed commands.
mod interpret;
mod interpret_order;
mod knowledge_asked;
// Records and the store.
mod records;
mod records_cli;
mod records_service;
mod store;
mod faults;
// Search: what was acknowledged is found, whatever happens to the index.
mod index;
// Conversations: every way through a job, and whole conversations as data.
mod conversation_turns;
mod conversation_paths;
mod conversations;
mod teaching;
// What the records say to whoever runs the shop.
mod fleet;
// The command line, from outside.
mod cli;
// What strangers write: inputs made by chance to every part that reads.
mod raw_call;
mod fuzz;
// Many clients at once.
mod load;
// The server's rim: who gets in, how much at once, what is seen of it.
mod running;
mod access;
mod serving_limits;
mod observed;
// What is built in, and on which terms.
mod supply;
