//! The log that SQLite keeps beside a file, read without SQLite: at the first frame that does not follow on the one before
//! SQLite stops without a word, and deletes the rest when it closes. By the open description "Database File Format", section 4.

use std::fs::File;
use std::io::{self, BufReader, ErrorKind, Read, Seek, SeekFrom};
use std::path::Path;
use std::time::Duration;

use super::beside;
use super::leaves::Leaves;

/// The lowest bit says which end of a word the sums take for its first.
const MAGIC: u32 = 0x377f_0682;
const HEAD: usize = 32;
const FRAME_HEAD: usize = 24;
/// A frame that another program writes just now is whole a moment later. Both own convention.
const LOOKS: u32 = 4;
const MOMENT: Duration = Duration::from_millis(25);

/// What was committed.
#[derive(Debug, Default)]
pub(crate) struct Log {
    /// In the order in which they were written.
    pub(crate) frames: Vec<Frame>,
    /// There is something, and no head of a log.
    pub(crate) lost_head: bool,
}

/// A page as it was once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub(crate) page: u32,
    /// Where in the log its bytes begin.
    pub(crate) at: u64,
    /// It fits its sum. Of one that does not, each row must prove itself.
    pub(crate) is_whole: bool,
    /// SQLite does not come so far. It may be lost; or its program was killed before others saw it, and they wrote over what
    /// came before it.
    pub(crate) is_behind: bool,
}

/// Whether something that was committed is lost of the log beside a file. Where it cannot be read, SQLite says why.
pub(crate) fn is_damaged(path: &Path) -> bool {
    let is_suspect = || {
        let log = Log::of(&mut File::open(beside(path, "-wal"))?, 0)?;
        io::Result::Ok(log.lost_head || log.frames.iter().any(|frame| frame.is_behind))
    };
    (0..LOOKS).all(|n| {
        if n > 0 {
            std::thread::sleep(MOMENT);
        }
        is_suspect().unwrap_or(false) && Leaves::of(path).is_ok_and(|leaves| leaves.lack_log())
    })
}

impl Log {
    /// With the size of a page, for where its own head cannot be read.
    pub(crate) fn of(file: &mut File, size: usize) -> io::Result<Self> {
        let mut bytes = vec![];
        file.take(HEAD as u64).read_to_end(&mut bytes)?;
        let head = Head::of(&bytes);
        let mut log = Self { frames: vec![], lost_head: head.is_none() && !bytes.is_empty() };
        let head = match head {
            Some(head) => head,
            None if size == 0 => return Ok(log),
            None => Head::by_frames(file, size)?,
        };
        let (mut pending, mut broke) = (vec![], false);
        let (mut written, mut computed) = (head.sum, head.sum);
        each(file, head.size, |at, frame| {
            let [page, pages, salt, random, sums @ ..] = numbers::<6>(frame);
            // A log is begun anew over the old one: of what is left of that, neither number is the same.
            if salt != head.salts[0] && random != head.salts[1] {
                (broke, written, computed) = (true, sums, sums);
                return;
            }
            // Held against the sum written in the one before, a damaged one costs none that follow; that sum itself may be damaged.
            let sum = head.sum_of(written, frame);
            let fits = sum == sums || (computed != written && head.sum_of(computed, frame) == sums);
            let is_whole = fits && [salt, random] == head.salts;
            (broke, written, computed) = (broke || !is_whole, sums, sum);
            pending.push(Frame { page, at, is_whole, is_behind: false });
            // Only the last of a commit says how many pages there are; of one that broke off there is none.
            if pages > 0 {
                log.frames.extend(pending.drain(..).map(|frame| Frame { is_behind: broke, ..frame }));
            }
        })?;
        Ok(log)
    }
}

/// What is said at the head of a log.
struct Head {
    big: bool,
    size: usize,
    salts: [u32; 2],
    sum: [u32; 2],
}

impl Head {
    fn of(bytes: &[u8]) -> Option<Self> {
        let [magic, _, size, _, salt, random, sum @ ..] = numbers::<8>(bytes);
        let size = usize::try_from(size).ok()?;
        let head = Self { big: magic & 1 == 1, size, salts: [salt, random], sum };
        let is_head = magic & !1 == MAGIC && size.is_power_of_two() && (512..=65536).contains(&size);
        (is_head && sum_of([0; 2], bytes.get(..24)?, head.big) == sum).then_some(head)
    }

    /// By the first two frames that belong together; else by the last, as what is left of an older log comes last.
    fn by_frames(file: &mut File, size: usize) -> io::Result<Self> {
        let mut head = Self { big: false, size, salts: [0; 2], sum: [0; 2] };
        let mut found = false;
        each(file, size, |_, frame| {
            let [_, _, salt, random, sum @ ..] = numbers::<6>(frame);
            let salts = [salt, random];
            let fits = |big| Self { big, ..head }.sum_of(head.sum, frame) == sum;
            if !found && salts != [0; 2] {
                let big = [false, true].into_iter().find(|big| salts == head.salts && fits(*big));
                found = big.is_some();
                head = Self { big: big.unwrap_or_default(), size, salts, sum };
            }
        })?;
        Ok(Self { sum: [0; 2], ..head })
    }

    fn sum_of(&self, before: [u32; 2], frame: &[u8]) -> [u32; 2] {
        sum_of(sum_of(before, &frame[..8], self.big), &frame[FRAME_HEAD..], self.big)
    }
}

/// Each whole frame, and where its page begins.
fn each(file: &mut File, size: usize, mut look: impl FnMut(u64, &[u8])) -> io::Result<()> {
    let mut at = HEAD as u64;
    file.seek(SeekFrom::Start(at))?;
    let mut from = BufReader::with_capacity(1 << 16, file);
    let mut frame = vec![0; FRAME_HEAD + size];
    loop {
        match from.read_exact(&mut frame) {
            Ok(()) => look(at + FRAME_HEAD as u64, &frame),
            Err(end) if end.kind() == ErrorKind::UnexpectedEof => return Ok(()),
            Err(fault) => return Err(fault),
        }
        at += frame.len() as u64;
    }
}

fn numbers<const N: usize>(bytes: &[u8]) -> [u32; N] {
    std::array::from_fn(|k| number(bytes, 4 * k).unwrap_or_default())
}

/// Four bytes, the highest first.
pub(crate) fn number(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// The sum that the log keeps of everything up to a frame.
fn sum_of(from: [u32; 2], bytes: &[u8], big: bool) -> [u32; 2] {
    let word = |b: &[u8]| b.try_into().map(if big { u32::from_be_bytes } else { u32::from_le_bytes });
    bytes.chunks_exact(8).fold(from, |[a, b], pair| {
        let (x, y) = (word(&pair[..4]).unwrap_or_default(), word(&pair[4..]).unwrap_or_default());
        let a = a.wrapping_add(x).wrapping_add(b);
        [a, b.wrapping_add(y).wrapping_add(a)]
    })
}
