//! A desk that dies while it saves: the file holds what it held, or what was sent, and nothing in between.

use std::time::Duration;

use super::{THURSDAY, TODAY, copied, open, read, visit};
use crate::support::names_in;

const FILE: &str = "ohrn.toml";

/// Moments as good as any, the same in every run.
struct Moments(u64);

impl Moments {
    fn share(&mut self) -> f64 {
        // the constants of the generator in Knuth's "The Art of Computer Programming", volume 2, 3.3.4 (MMIX)
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).expect("half of it")) / f64::from(u32::MAX)
    }
}

fn kill(kills: usize) {
    let folder = copied(THURSDAY);
    let mut moments = Moments(20_261_203);
    let mut known = vec![read(folder.path(), FILE)];
    // how long a save takes until its file has its name, found by trying: kills come just before it and just behind
    let mut moment = Duration::from_millis(60);
    let (mut written, mut kept) = (0, 0);
    for n in 0..kills {
        let desk = open(folder.path(), TODAY);
        let mut form = visit(&desk, "Åsa Öhrn").form("/visit/save");
        let before = read(folder.path(), FILE);
        form.set("area.glabella.aim", &format!("edit {n}"));
        let browser = desk.browser.clone();
        let sending = std::thread::spawn(move || {
            let (path, fields) = browser.filled(&form, Some("Save the visit"));
            browser.try_send(&path, &fields).map(|answer| answer.status)
        });
        std::thread::sleep(moment.mul_f64(0.4 + moments.share() * 1.2));
        // SIGKILL
        drop(desk);
        let answered = sending.join().expect("sent");
        let now = read(folder.path(), FILE);
        let changed = now != before;
        if let Ok(status) = answered {
            assert_eq!(status, 303, "kill {n}");
            assert!(changed, "kill {n}: it said that it was saved");
        }
        let lines: Vec<&str> = now
            .lines()
            .filter(|line| !line.starts_with("aim = "))
            .collect();
        let first: Vec<&str> = known[0].lines().collect();
        assert_eq!(lines, first, "kill {n}: the file is not whole");
        assert!(
            known.contains(&now) || now.contains(&format!("aim = \"edit {n}\"\n")),
            "kill {n}: {now}"
        );
        assert!(
            now == before || now.contains(&format!("aim = \"edit {n}\"\n")),
            "kill {n}: an older text is back"
        );
        match changed {
            true => {
                written += 1;
                moment = moment.mul_f64(0.8);
            }
            false => {
                kept += 1;
                moment = moment.mul_f64(1.2);
            }
        }
        known.push(now);
    }
    assert!(
        written > kills / 8 && kept > kills / 8,
        "{written} written, {kept} kept: kills miss the saves"
    );
    // and the last one goes on, with nothing left of the others in the day
    let desk = open(folder.path(), TODAY);
    let day = desk.page("day");
    assert_eq!(day.status, 200);
    assert_eq!(day.texts_of("tr", None).len(), 9, "{}", day.text());
    let left: Vec<String> = names_in(folder.path())
        .into_iter()
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(left.len() <= 1, "half-written files pile up: {left:?}");
}

#[test]
fn a_desk_that_is_killed_while_it_saves_leaves_the_plan_whole() {
    kill(40);
}

/// The long run: `cargo test --test program -- --ignored two_hundred_kills`.
#[test]
#[ignore = "takes several minutes"]
fn two_hundred_kills_leave_the_plan_whole() {
    kill(200);
}
