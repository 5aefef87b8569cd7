//! A row of what a vehicle's papers say.

use clap::ValueEnum;
use planner::papers::Papers;
use planner::{Limits, Measured, Vehicle};
use sheets::Units;
use statics::{Length, Mass};

use super::cells::{Head, PAPERS, odd, wrong};
use crate::convert::expect::{self, Default, Expect};
use crate::convert::vehicle::{class, drive};
use crate::convert::{measured, plain};
use crate::input::quantity::{Quantity, Share};
use crate::input::shape::{LONGEST, unfit};
use crate::input::{Problems, Text};
use crate::measuring::question::with_unit;
use crate::wire::vehicle::{Class, Drive};

/// By so much at the least a vehicle is longer than its wheelbase, metres: half a tyre stands beyond each hub. Derived; of the
/// smallest tyre that is usual.
const BEYOND_THE_HUBS: f64 = expect::TYRE_DIAMETER.plausible.0;

/// A row while it is read: every problem of every cell.
struct Reading<'a> {
    head: &'a Head,
    cells: &'a [String],
    said: String,
    /// What is legal but odd.
    odd: String,
}

impl<'a> Reading<'a> {
    fn text(&mut self, column: &str) -> Option<&'a str> {
        let (text, _) = self.head.cell(self.cells, column)?;
        if let Some([fault, help]) = unfit(text, LONGEST) {
            self.said += &wrong(&format!("`{column}` {fault}"), &help);
        }
        Some(text)
    }

    /// A quantity, read as any file's.
    fn quantity<Q: Quantity, T>(
        &mut self,
        expect: &Expect,
        read: impl FnOnce(&Text<Q>, &Expect, &mut Problems) -> Option<T>,
    ) -> Option<T> {
        let (text, unit) = self.head.cell(self.cells, expect.what)?;
        let mut problems = Problems::default();
        let found = read(&Text::new(0..1, with_unit(text, unit)), expect, &mut problems);
        for problem in problems.all() {
            // By its column: "`mass`: ...", "`mass` is ...".
            let message = match problem.message.strip_prefix(expect.what) {
                Some(rest) => format!("`{}`{rest}", expect.what),
                None => format!("`{}`: {}", expect.what, problem.message),
            };
            match problem.is_error {
                true => self.said += &wrong(&message, &problem.help),
                false => self.odd += &odd(&message, &problem.help),
            }
        }
        found
    }

    fn length(&mut self, what: &'static str, expect: Expect) -> Option<Length> {
        self.quantity::<Length, _>(&Expect { what, ..expect }, plain)
    }

    fn measured<Q: Quantity>(
        &mut self,
        what: &'static str,
        expect: Expect,
        default: &Default,
    ) -> Option<Measured<Q>> {
        let expect = Expect { what, ..expect };
        self.quantity::<Q, _>(&expect, |text, expect, problems| measured(text, expect, default, problems))
    }

    fn word<T: ValueEnum>(&mut self, column: &str) -> Option<T> {
        let text = self.text(column)?;
        let found = T::from_str(text, true);
        if found.is_err() {
            let words: Vec<String> = T::value_variants()
                .iter()
                .filter_map(|v| Some(v.to_possible_value()?.get_name().to_owned()))
                .collect();
            let help = format!("write one of {}, or leave it empty", words.join(", "));
            self.said += &wrong(&format!("`{column}`: there is no {text:?}"), &help);
        }
        found.ok()
    }

    fn needed<T>(&mut self, column: &str, found: Option<T>) -> Option<T> {
        if self.head.cell(self.cells, column).is_none() {
            self.said += &wrong(&format!("`{column}` is empty or there is no such column"), "write it");
        }
        found
    }
}

/// As what the vehicle may stand there, with what is odd in its row, or everything that is wrong with it.
pub(crate) fn vehicles(
    head: &Head,
    cells: &[String],
    limits: &Limits,
) -> Result<(Vec<Vehicle>, String), String> {
    let mut row = Reading { head, cells, said: String::new(), odd: String::new() };
    let id = row.text(PAPERS[0]);
    let id = row.needed(PAPERS[0], id);
    let name = row.text("name").or(id).unwrap_or_default().to_owned();
    let wheelbase = row.measured::<Length>("wheelbase", expect::WHEELBASE, &expect::BY_TAPE);
    let wheelbase = row.needed("wheelbase", wheelbase);
    let mass = row.measured::<Mass>("mass", expect::VEHICLE_MASS, &expect::BY_PAPERS);
    let mass = row.needed("mass", mass);
    let [length, width, height] = [
        row.length("length", expect::OVERALL),
        row.length("width", expect::WIDTH),
        row.length("height", expect::ROOF),
    ];
    let class = row.word::<Class>("class").map(class);
    let drive = row.word::<Drive>("drive").map(drive);
    let share = row.measured::<Share>("front_share", expect::FRONT_SHARE_BY_PAPERS, &expect::OF_SHARE);
    if let (Some(length), Some(base)) = (length, &wheelbase)
        && base.value + Length::metres(BEYOND_THE_HUBS) > length
    {
        let beyond = Units::Metric.length(Length::metres(BEYOND_THE_HUBS));
        row.said += &wrong(
            "`wheelbase` does not fit into `length`",
            &format!(
                "wheelbase is hub centre to hub centre, and tyres make a vehicle {beyond} longer at the least: check both"
            ),
        );
    }
    let (Some(wheelbase), Some(mass), true) = (wheelbase, mass, row.said.is_empty()) else {
        return Err(row.said);
    };
    let front_share = share.map(|s| Measured {
        value: s.value.to_si(),
        tolerance: s.tolerance.to_si(),
        uncertainty: s.uncertainty.to_si(),
        basis: s.basis,
    });
    let papers = Papers { name, wheelbase, mass, length, width, height, class, drive, front_share };
    let vehicles = papers.vehicles(limits);
    let vehicles =
        vehicles.ok_or_else(|| wrong("of its lifting points no areas can be made", "check `width`"))?;
    Ok((vehicles, row.odd))
}
