//! Grades of multimode fiber, and figures that depend on them.

use crate::units::Decibels;

/// A grade of multimode fiber (ISO/IEC 11801-1).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Grade {
    /// 62.5 um core.
    Om1,
    /// 50 um core.
    Om2,
    /// 50 um core, 2000 MHz km at 850 nm with a laser.
    Om3,
    /// 50 um core, 4700 MHz km.
    Om4,
    /// 50 um core, 4700 MHz km and wideband.
    Om5,
}

impl Grade {
    /// All of them, in order.
    pub const ALL: [Self; 5] = [Self::Om1, Self::Om2, Self::Om3, Self::Om4, Self::Om5];

    /// The grade that the name of a fiber type begins with: `OM3`, `OM3-older`.
    pub fn of(fiber: &str) -> Option<Self> {
        let digit = fiber.to_uppercase().strip_prefix("OM")?.chars().next()?.to_digit(10)?;
        Self::ALL.get(digit.checked_sub(1)? as usize).copied()
    }

    /// The grades whose demands a fiber of this one meets, its own last: a 50 um fiber those of every lower
    /// 50 um grade (OM2 to OM5, each with more bandwidth than the one before: ISO/IEC 11801 and
    /// IEC 60793-2-10); OM1 has another core.
    pub fn and_met(self) -> impl Iterator<Item = Self> {
        let lowest = if self == Self::Om1 { Self::Om1 } else { Self::Om2 };
        Self::ALL
            .into_iter()
            .filter(move |grade| (lowest.index()..=self.index()).contains(&grade.index()))
    }

    /// Its place in a list by grade.
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// A limit of an interface that depends on the grade of fiber that it runs over.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ByGrade {
    /// What holds on every fiber, where no grade states its own.
    pub any: Option<Decibels>,
    /// By grade, OM1 to OM5.
    pub grades: [Option<Decibels>; 5],
}

impl ByGrade {
    /// Whether grades state values of their own.
    pub fn depends(&self) -> bool {
        self.grades.iter().any(Option::is_some)
    }

    /// The greatest loss on a grade: a limit. Of a grade that states none, and of a fiber whose grade is
    /// not known, the strictest.
    pub fn limit(&self, grade: Option<Grade>) -> Option<Decibels> {
        self.on(grade, Decibels::min)
    }

    /// The penalty on a grade; of one that states none the greatest.
    pub fn penalty(&self, grade: Option<Grade>) -> Option<Decibels> {
        self.on(grade, Decibels::max)
    }

    fn on(
        &self,
        grade: Option<Grade>,
        strictest: impl Fn(Decibels, Decibels) -> Decibels,
    ) -> Option<Decibels> {
        let own = grade.and_then(|grade| self.grades[grade.index()]);
        own.or_else(|| self.grades.into_iter().flatten().reduce(strictest)).or(self.any)
    }
}
