//! Same folder, same bytes: whatever the threads, the order on disk, the place. And the originals stay as they are.

mod support;

use std::fs;
use std::time::SystemTime;

use support::shoot;

#[test]
fn one_two_and_seven_threads_write_the_same_bytes() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let reports: Vec<_> = ["1", "2", "7"]
        .into_iter()
        .map(|threads| {
            let out = dir.path().join(format!("report{threads}"));
            shoot::analyse(&folder, &out, &["--threads", threads]);
            shoot::contents(&out)
        })
        .collect();
    assert!(reports[0].len() > 10);
    assert!(reports[0] == reports[1] && reports[1] == reports[2]);
}

/// Files created in another order lie in another order in most file systems; a copy elsewhere is the same shoot.
#[test]
fn a_shuffled_copy_elsewhere_writes_the_same_bytes() {
    let dir = tempfile::tempdir().unwrap();
    let frames = shoot::evening();
    let first = shoot::write(&dir.path().join("a"), &frames);
    let shuffled: Vec<_> = [7, 2, 11, 0, 9, 4, 1, 10, 3, 8, 5, 6].into_iter().map(|n| frames[n].clone()).collect();
    let second = shoot::write(&dir.path().join("b/c"), &shuffled);
    let [one, two] = [(first, "one"), (second, "two")].map(|(folder, name)| {
        let out = dir.path().join(name);
        shoot::analyse(&folder, &out, &[]);
        shoot::contents(&out)
    });
    assert!(!one.is_empty() && one == two);
}

#[test]
fn running_again_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    let first = shoot::contents(&out);
    shoot::analyse(&folder, &out, &[]);
    assert!(first == shoot::contents(&out));
    let beside: Vec<_> = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(beside.len(), 2, "nothing is left beside shoot and report: {beside:?}");
}

#[test]
fn the_shoot_is_untouched() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let stamp = |path: &std::path::Path| fs::metadata(path).unwrap().modified().unwrap();
    let state = || -> Vec<(String, Vec<u8>, SystemTime)> {
        shoot::contents(&folder)
            .into_iter()
            .map(|(name, bytes)| {
                let time = stamp(&folder.join(&name));
                (name, bytes, time)
            })
            .collect()
    };
    let (before, folder_before) = (state(), stamp(&folder));
    shoot::analyse(&folder, &dir.path().join("report"), &[]);
    assert!(before == state() && folder_before == stamp(&folder));
}
