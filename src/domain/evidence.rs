//! What a medical entry rests on: its sources and how far they can be trusted.
//! Invariant: the two always stand together; in a file they are the keys `source` and `status` of the entry itself.
//! Must not: raise a status.

use serde::{Deserialize, Serialize};

use super::SourceId;

/// How far a value can be trusted. Never raised above what the source notes say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Read in the source itself.
    Published,
    /// Read in somebody else's report of the source.
    PublishedSecondHand,
    /// Plain arithmetic on a published figure.
    Calculated,
    /// What practitioners commonly do or say; no published source.
    CommonPractice,
    /// Believed, not checked against a source.
    FromMemory,
}

impl Status {
    /// In plain English, for a programmer's or practitioner's report.
    pub fn as_str(self) -> &'static str {
        match self {
            Status::Published => "published",
            Status::PublishedSecondHand => "published, read second-hand",
            Status::Calculated => "calculated from a published figure",
            Status::CommonPractice => "common practice, no source",
            Status::FromMemory => "from memory, not checked",
        }
    }

    /// As in the files of the catalogue.
    pub fn key(self) -> &'static str {
        match self {
            Status::Published => "published",
            Status::PublishedSecondHand => "published-second-hand",
            Status::Calculated => "calculated",
            Status::CommonPractice => "common-practice",
            Status::FromMemory => "from-memory",
        }
    }
}

/// Where something comes from and how far that carries.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Evidence {
    pub source: Vec<SourceId>,
    pub status: Status,
}

impl Evidence {
    /// What practitioners commonly do; nothing published.
    pub fn common_practice() -> Evidence {
        Evidence {
            source: vec![SourceId::practice()],
            status: Status::CommonPractice,
        }
    }

    /// One publication, read itself.
    pub fn published(source: &str) -> Evidence {
        Evidence {
            source: vec![source.into()],
            status: Status::Published,
        }
    }

    /// Several taken together: every source once, in order of name, and the weakest status. Published when there is none.
    pub fn together<'e>(all: impl IntoIterator<Item = &'e Evidence>) -> Evidence {
        let mut sum = Evidence {
            source: Vec::new(),
            status: Status::Published,
        };
        for one in all {
            sum.source.extend(one.source.iter().cloned());
            sum.status = sum.status.max(one.status);
        }
        sum.source.sort();
        sum.source.dedup();
        sum
    }

    /// The sources that can be looked up.
    pub fn publications(&self) -> impl Iterator<Item = &SourceId> {
        self.source.iter().filter(|id| id.is_publication())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_are_as_weak_as_the_weakest() {
        let memory = Evidence {
            source: vec![SourceId::memory()],
            status: Status::FromMemory,
        };
        let both = Evidence::together([&memory, &Evidence::published("C2"), &memory]);
        assert_eq!(both.status, Status::FromMemory);
        assert_eq!(both.source, ["C2", "memory"]);
        assert_eq!(both.publications().count(), 1);
    }
}
