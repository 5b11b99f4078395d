//! A data directory over the network is refused before anything is put there. A file system that a
//! program serves (FUSE) stands for all of them: it is the kind that can be had without a network.

use sward_core::store::{DataDirectory, StoreError};

use super::mounts::{Mount, or_skip};

#[test]
fn a_directory_on_a_network_file_system_is_refused() {
    let real = tempfile::tempdir().expect("a directory");
    let mount = Mount::by_program("bindfs", real.path());
    let Some(mount) = or_skip(mount, "a network file system") else { return };
    let data = mount.path.join("data");
    let error = DataDirectory::claim(&data, false).expect_err("it is not a local disk");
    let StoreError::Unsuitable { why, .. } = &error else { panic!("{error}") };
    assert!(why.contains("network file system (FUSE"), "{why}");
    assert!(error.to_string().contains("name a directory on a local disk"), "{error}");
    let left = std::fs::read_dir(&data).expect("made").count();
    assert_eq!(left, 0, "something was put there");
    // Whoever knows better may have it.
    drop(DataDirectory::claim(&data, true).expect("allowed"));
}
