//! Turns `proto/` into Rust without a protoc binary, and `knowledge/` into one checked piece that
//! the programs embed. A mistake in a knowledge file breaks the build and names its line.
#![allow(dead_code)]

#[path = "server/domain/build_part.rs"]
mod domain;
#[path = "server/knowledge/mod.rs"]
mod knowledge;

use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

use protox::prost::Message as _;

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=proto");
    println!("cargo:rerun-if-changed=knowledge");
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=server/knowledge");
    println!("cargo:rerun-if-changed=server/domain/language");
    println!("cargo:rerun-if-changed=server/domain/said");
    println!("cargo:rerun-if-changed=server/domain/catalogue.rs");
    let out = PathBuf::from(env::var("OUT_DIR")?);
    contract(&out)?;
    facts(&out)
}

fn contract(out: &Path) -> Result<(), Box<dyn Error>> {
    let mut files: Vec<PathBuf> = fs::read_dir("proto/sward/v1")?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()?;
    files.retain(|path| path.extension().is_some_and(|ending| ending == "proto"));
    files.sort();
    let mut compiler = protox::Compiler::new(["proto"])?;
    compiler.include_imports(true).include_source_info(true);
    let set = compiler.open_files(&files)?.file_descriptor_set();
    fs::write(out.join("descriptor.bin"), set.encode_to_vec())?;
    tonic_prost_build::configure().build_client(true).build_server(true).compile_fds(set)?;
    Ok(())
}

fn facts(out: &Path) -> Result<(), Box<dyn Error>> {
    let files = knowledge::files_of(Path::new("knowledge"))?;
    let (known, fitted, problems) = knowledge::read(&files, None);
    if !problems.is_empty() {
        for problem in &problems {
            println!("cargo:warning={problem}");
        }
        return Err(format!("knowledge/ holds {} mistakes", problems.len()).into());
    }
    fs::write(out.join("fitted.bin"), fitted.to_bytes())?;
    fs::write(out.join("knowledge.bin"), postcard::to_allocvec(&known)?)?;
    let root = env::current_dir()?;
    let mut table = String::from("pub static FILES: &[(&str, &str)] = &[\n");
    for file in &files {
        let path = root.join("knowledge").join(&file.path);
        writeln!(table, "    ({:?}, include_str!({path:?})),", file.path)?;
    }
    table.push_str("];\n");
    fs::write(out.join("knowledge_files.rs"), table)?;
    Ok(())
}
