//! What a fit sheet says, computed.

use std::collections::BTreeMap;

use crate::audition::ProbedLine;
use crate::audition::Unexplained;
use crate::install::page::{BeforeView, CheckedLine, HookupView, JackView, PhaseView, ProofReading, SwitchOffered};
use crate::install::slips::InstallSlip;
use crate::physics::drawing::Drawn;
use crate::physics::wiring::{Proof, ProofNext};
use crate::record::install::InstallStep;
use crate::record::quantity::InInches;
use crate::record::rig::Mode;
use crate::record::verdict::Verdict;
use crate::record::wiring::Plan;

/// All that is computed for a sheet.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// What each step shows, in short, whose tick holds only as long as it shows the same.
    pub causes: BTreeMap<InstallStep, String>,
    /// What to begin the plan with.
    pub suggested: Plan,
    /// Ready-made switches.
    pub switches: Vec<SwitchOffered>,
    /// Whether the plan gives what it asks for.
    pub plan: Option<Verdict>,
    /// Which way round, in sentences.
    pub way_round: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    pub way_round_in_inches: Vec<Option<InInches>>,
    /// What of it there is to do.
    pub set_in: Vec<String>,
    /// Strings over the poles at the final place, drawn.
    pub way_drawn: Option<Drawn>,
    /// Phase and hum.
    pub phase: PhaseView,
    /// That coils of the new pickup work against each other as planned.
    pub fights: Option<Verdict>,
    /// Whether each mode of the plan cancels hum by itself.
    pub hum: Vec<(Mode, Option<bool>)>,
    /// Which lead goes where.
    pub hookup: HookupView,
    /// Will it fit.
    pub room: Vec<CheckedLine>,
    /// Where to start with the heights.
    pub heights: Vec<String>,
    /// The same in inches, one for each.
    pub heights_in_inches: Vec<Option<InInches>>,
    /// The guitar as it was.
    pub before: BeforeView,
    /// What to expect at the jack.
    pub jack: JackView,
    /// Each reading that is wanted, with what was read.
    pub readings: Vec<ProofReading>,
    /// What was measured elsewhere than at the jack.
    pub probed: Vec<ProbedLine>,
    /// What may be measured beside the positions.
    pub beside: Vec<ProofNext>,
    /// What all readings come to together.
    pub proof: Option<Verdict>,
    /// What readings say that nobody has explained.
    pub(crate) unexplained: Unexplained,
    /// What is to be asked first, where a slip of the pen would explain the readings.
    pub slip: Option<InstallSlip>,
    /// What is wrong.
    pub diagnosis: Option<Proof>,
}
