//! Turns of a conversation.
