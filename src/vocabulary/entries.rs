//! The entries of a vocabulary file, as they stand in TOML. `docs/vocabulary.md` says what each key means.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::report::{End, Hand, Severity};

/// One file, or several laid over one another.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(title = "Vocabulary of plainsaid")]
pub struct Entries {
    pub part: Vec<Part>,
    pub defect: Vec<Defect>,
    pub hedge: Vec<Hedge>,
    pub standing: Vec<Standing>,
    pub praise: Vec<Praise>,
    pub function: Vec<Function>,
    pub equipment: Vec<Equipment>,
    pub unchecked: Vec<Unchecked>,
    pub remedy: Vec<RemedyEntry>,
    pub place: Vec<Place>,
    pub pointing: Vec<Pointing>,
    pub object: Vec<Object>,
    pub unit: Vec<Unit>,
    pub number: Vec<Number>,
    pub cue: Vec<Cue>,
    pub fuel: Vec<Fact>,
    pub gearbox: Vec<Fact>,
    pub colour: Vec<Fact>,
    pub make: Vec<Fact>,
    pub model: Vec<Model>,
    pub grammar: Vec<Grammar>,
    pub fold: Vec<Fold>,
    pub market: Vec<MarketFacts>,
    pub strength: Vec<Strength>,
    pub family: Vec<Family>,
    pub safety: Vec<Safety>,
    pub trial: Vec<Trial>,
    pub rate: Vec<Rate>,
    pub kind: Vec<VehicleKind>,
    pub meant: Vec<Meant>,
}

/// The kinds of entries, by the names that files give them.
pub const KINDS: [&str; 30] = [
    "part",
    "defect",
    "hedge",
    "standing",
    "praise",
    "function",
    "equipment",
    "unchecked",
    "remedy",
    "place",
    "pointing",
    "object",
    "unit",
    "number",
    "cue",
    "fuel",
    "gearbox",
    "colour",
    "make",
    "model",
    "grammar",
    "fold",
    "market",
    "strength",
    "family",
    "safety",
    "trial",
    "rate",
    "kind",
    "meant",
];

/// The lists of patterns that an entry can have. A later layer adds to them; every other key it replaces.
pub const PHRASES: [&str; 6] = ["say", "noun", "state", "verb", "works", "misheard"];

/// How a key of a later layer's entry changes the earlier one.
trait Amend {
    fn amend(&mut self, over: Self, adds: bool);
}

impl Amend for Vec<String> {
    fn amend(&mut self, over: Self, adds: bool) {
        if !adds {
            *self = over;
            return;
        }
        for pattern in over {
            if !self.contains(&pattern) {
                self.push(pattern);
            }
        }
    }
}

macro_rules! replaced {
    ($($type:ty),*) => { $(
        impl Amend for $type {
            fn amend(&mut self, over: Self, _: bool) {
                *self = over;
            }
        }
        impl Listed for $type {}
    )* };
}
replaced!(String, bool, f64, u32, [f64; 2], Vec<Class>, Vec<Severity>, Vec<[String; 2]>, Hand);

impl<T> Amend for Option<T> {
    fn amend(&mut self, over: Self, _: bool) {
        *self = over;
    }
}

/// Gives an entry type its fields in common.
macro_rules! entry {
    ($(#[$doc:meta])* $name:ident { $($(#[$fdoc:meta])* $field:ident: $type:ty,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
        #[serde(default, deny_unknown_fields)]
        pub struct $name {
            /// Lower-case words joined by hyphens, unique within its kind.
            pub id: String,
            /// The plain name printed in reports; the id with spaces where it is left out.
            pub label: String,
            /// Patterns: the ways in which it is said.
            pub say: Vec<String>,
            /// Patterns: what recognisers write when they hear it wrongly.
            pub misheard: Vec<String>,
            /// For the next person who edits it.
            pub note: String,
            /// Not listened for: how a later layer puts an entry out of use.
            pub silent: bool,
            /// Patterns of the earlier layers' entry of this id that are no longer listened for.
            pub unsay: Vec<String>,
            /// Takes the place of the earlier layers' entry of this id whole, instead of changing it.
            pub anew: bool,
            $($(#[$fdoc])* pub $field: $type,)*
        }

        impl Entry for $name {
            const KIND: &'static str = stringify!($name);
            fn id(&self) -> &str { &self.id }
            fn fill_label(&mut self) {
                if self.label.is_empty() {
                    self.label = self.id.replace('-', " ");
                }
            }
            fn change(&mut self, over: Self, given: &[String]) {
                if over.anew {
                    *self = over;
                    self.fill_label();
                    return;
                }
                for list in self.lists() {
                    list.retain(|pattern| !over.unsay.contains(pattern));
                }
                let gives = |key: &str| given.iter().any(|g| g == key.trim_start_matches("r#"));
                macro_rules! take {
                    ($key:ident) => {
                        if gives(stringify!($key)) {
                            self.$key.amend(over.$key, PHRASES.contains(&stringify!($key)));
                        }
                    };
                }
                take!(label);
                take!(say);
                take!(misheard);
                take!(silent);
                $(take!($field);)*
            }
            fn lists(&mut self) -> Vec<&mut Vec<String>> {
                #[allow(unused_mut)]
                let mut lists = vec![&mut self.say, &mut self.misheard];
                $(self.$field.list(stringify!($field), &mut lists);)*
                lists
            }
        }
    };
}

/// Whether a field is a list of patterns.
trait Listed {
    fn list<'l>(&'l mut self, _name: &str, _lists: &mut Vec<&'l mut Vec<String>>) {}
}

impl Listed for Vec<String> {
    fn list<'l>(&'l mut self, name: &str, lists: &mut Vec<&'l mut Vec<String>>) {
        if PHRASES.contains(&name) {
            lists.push(self);
        }
    }
}

impl<T> Listed for Option<T> {}

/// What layering needs to know of any entry.
pub trait Entry {
    const KIND: &'static str;
    fn id(&self) -> &str;
    fn fill_label(&mut self);
    /// Changes this entry as a later one of the same id says, which gives these keys.
    fn change(&mut self, over: Self, given: &[String]);
    /// Its lists of patterns.
    fn lists(&mut self) -> Vec<&mut Vec<String>>;
}

entry! {
    /// A thing on a vehicle that can have something wrong with it.
    Part {
        zone: Zone,
        end: Option<End>,
        usual_end: Option<End>,
        side: Sided,
        class: Vec<Class>,
        generic: bool,
        also: bool,
        /// The warning light that tells of it.
        lamp: Option<String>,
    }
}
entry! {
    /// Something that can be wrong.
    Defect {
        noun: Vec<String>,
        state: Vec<String>,
        severity: Option<Severity>,
        on: Vec<String>,
        not_on: Vec<String>,
        implies: Option<String>,
        remedy: Vec<String>,
        /// What the trade would propose instead where it is moderate or worse.
        worse: Vec<String>,
        safety: bool,
        weak: bool,
        /// Tells more of a fault named beside it on the same part, and is a fault of its own only where there is none.
        detail: bool,
        /// Gives way to a plainer fault told right after it of the same part.
        loose: bool,
        /// "gone", "went": before another condition it only says that it came to that.
        becomes: bool,
        /// Something that does not do what it is for: a function tried, as well as a fault.
        function: bool,
        same_as: Option<String>,
    }
}
entry! {
    /// Words that make a fault more or less.
    Hedge { effect: Effect, r#where: Where, }
}
entry! {
    /// Words that say whether a fault is asserted at all.
    Standing {
        means: Means,
        reaches: Reach,
        within: Option<usize>,
        /// Only where they open a clause: "were the frame bent".
        opens: bool,
    }
}
entry! {
    /// Said of a part that is good.
    Praise {
        on: Vec<String>,
        not_on: Vec<String>,
        part: Option<String>,
        weak: bool,
        /// Tells how a part looks, not how it works.
        looks: bool,
        /// How a verb is done ("well", "as it ought"): makes what was tried good, and says nothing by itself.
        manner: bool,
        /// Counts only in a statement that names no fault: "renewed".
        alone: bool,
        /// Counts only where nothing but more praise follows: "rear door, nothing".
        last: bool,
    }
}
entry! {
    /// A function tried.
    Function {
        verb: Vec<String>,
        works: Vec<String>,
        item: Option<String>,
        on: Vec<String>,
        not_on: Vec<String>,
        fault: Option<String>,
        fault_label: String,
        weak: bool,
        /// The words name the item themselves, whatever stands near: "heat works".
        named: bool,
        /// What works so is also good: "closes beautifully".
        sound: bool,
    }
}
entry! {
    /// What a vehicle can be fitted with.
    Equipment {
        part: Option<String>,
        class: Vec<Class>,
        weak: bool,
        /// Parts that are this where they are said to be electric: "the tailgate's electric".
        powers: Vec<String>,
    }
}
entry! {
    /// Said of what was not looked at or tried.
    Unchecked {
        item: Option<String>,
        reaches: Reach,
        /// Asks about what follows, which is then not known either: "no idea whether the alarm works".
        asks: bool,
        /// Counts only where one of these words follows the thing named: "could not get the bonnet open".
        until: Vec<String>,
    }
}
entry! {
    /// What would put a fault right.
    RemedyEntry { who: String, noun: Vec<String>, weak: bool, }
}
entry! {
    /// Where the speaker is or points: a side, an end, a zone, or a move from one to another.
    Place {
        side: Option<SaidSide>,
        end: Option<End>,
        zone: Zone,
        moves: bool,
        turns: Option<Turn>,
    }
}
entry! {
    /// A word that stands for a part or a defect named before.
    Pointing { points: Points, }
}
entry! {
    /// What a size is likened to. `mm`: its longest dimension, low and high.
    Object { mm: [f64; 2], market: Option<String>, }
}
entry! {
    /// A unit of measure. `factor`: to millimetres, kilometres, or whole units of currency.
    Unit { kind: UnitKind, factor: f64, currency: Option<String>, }
}
entry! {
    /// A spoken number.
    Number { value: f64, role: NumberRole, range: Option<[f64; 2]>, }
}
entry! {
    /// Spoken to the listener.
    Cue { does: CueKind, to: Option<String>, }
}
entry! {
    /// A fact of the vehicle: a fuel, a gearbox, a colour, a make.
    Fact { weak: bool, part: Option<String>, }
}
entry! {
    /// A model of a make.
    Model {
        make: String,
        /// Names of its trims, as they are written: said right after the model, they belong to its name.
        trims: Vec<String>,
    }
}
entry! {
    /// What a remedy costs here, and who does it.
    Rate {
        /// Ids of remedies; none named, any.
        remedy: Vec<String>,
        /// Faults and parts that it is for; none named, any.
        of: Vec<String>,
        on: Vec<String>,
        not_on: Vec<String>,
        severity: Vec<Severity>,
        /// The market in whose money it is; left out, any.
        market: Option<String>,
        low: f64,
        high: f64,
        /// Hours of work, low and high.
        hours: Option<[f64; 2]>,
        /// Who does it: `valet`, `paint`, `dents`, `wheels`, `glass`, `trim`, `parts`, `workshop`, `tyres`.
        who: String,
        /// An example that ships with the program: nobody's figures, and never put into a draft.
        example: bool,
    }
}
entry! {
    /// A kind of vehicle, and the words by which a narration is known to be of one.
    VehicleKind { }
}
entry! {
    /// What `vocab check` would take for a mistake and is meant.
    Meant {
        /// The kind of these entries.
        kind: String,
        /// Ids of entries that knowingly share phrases.
        of: Vec<String>,
        /// Their phrases knowingly hold words that tell of a fault.
        holds: bool,
    }
}
entry! {
    /// Small words.
    Grammar { class: GrammarClass, }
}
entry! {
    /// What a market settles: side of the road, money, law.
    MarketFacts {
        steering: Hand,
        currency: String,
        distance: String,
        /// The least tread depth that the law allows on cars, in millimetres.
        tread_mm: f64,
        /// Where that limit stands.
        tread_source: String,
        /// Words of labels with those that this market uses for them; the first that a label holds is changed.
        words: Vec<[String; 2]>,
        /// How such a walk-round may sound, in a sentence: what the recogniser takes to have been said just before.
        opening: String,
    }
}
entry! {
    /// How severity is reckoned: `docs/vocabulary.md` states the rule.
    Strength {
        /// Defects and parts that it is for; none named, any.
        of: Vec<String>,
        on: Vec<String>,
        host: Vec<String>,
        steps: f64,
        below_mm: f64,
        from_mm: f64,
        from_count: u32,
        /// How far its steps may take a fault.
        least: Option<Severity>,
        most: Option<Severity>,
    }
}
entry! {
    /// Which faults bear on safe use beyond what the classes of parts tell: the last that fits decides.
    Safety {
        of: Vec<String>,
        on: Vec<String>,
        not_on: Vec<String>,
        /// What a piece is a piece of.
        host: Vec<String>,
        end: Option<End>,
        /// Only where no part is known.
        partless: bool,
        /// Only where it is said to be before the driver, or before someone else.
        before: Option<Before>,
        /// Only where a size was said, at most so large.
        below_mm: f64,
        /// It does not bear on safe use.
        clear: bool,
    }
}

entry! {
    /// Defects that are told in one another's words: two of them said of one part in one breath are one fault.
    Family { of: Vec<String>, functions: bool, }
}

entry! {
    /// Parts of which it is known in this way that they work.
    Trial { by: TriedBy, on: Vec<String>, not_on: Vec<String>, }
}

/// One spelling for several.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Fold {
    pub from: Vec<String>,
    pub to: String,
    pub note: String,
}

macro_rules! choices {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $text:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
        pub enum $name { #[default] $(#[serde(rename = $text)] $variant),* }

        replaced!($name);
    };
}

choices!(
    /// The parts of the walk. `Anywhere` for parts that can be met in any.
    Zone {
        Anywhere = "anywhere", Front = "front", Side = "side", Rear = "rear", Roof = "roof", Inside = "inside",
        Load = "load", Engine = "engine", Under = "under", Living = "living", Wheels = "wheels", Papers = "papers",
        Road = "road",
    }
);
choices!(
    /// Whether a part has a left and a right.
    Sided { Either = "either", None = "none", Said = "said", Centre = "centre" }
);
choices!(
    /// What sort of part it is, for defects and cautions to refer to.
    Class {
        Body = "body", Plastic = "plastic", Glass = "glass", ScreenGlass = "screen-glass", Light = "light",
        WarningLight = "warning-light", Wheel = "wheel", Tyre = "tyre", Brake = "brake", Steering = "steering",
        Suspension = "suspension", Structure = "structure", Belt = "belt", Airbag = "airbag", Engine = "engine",
        Gearbox = "gearbox", Driveline = "driveline", Exhaust = "exhaust", Fuel = "fuel", Gas = "gas",
        HighVoltage = "high-voltage", Tow = "tow", Jack = "jack", Fluid = "fluid", Electric = "electric",
        Display = "display", Camera = "camera", Sensor = "sensor", Audio = "audio", Climate = "climate", Seat = "seat",
        Fabric = "fabric", Trim = "trim", Opening = "opening", Lock = "lock", Window = "window", Mirror = "mirror",
        Wiper = "wiper", Battery = "battery", Key = "key", Water = "water", Appliance = "appliance", Floor = "floor",
        Load = "load", Frame = "frame", Control = "control", Metal = "metal", Interior = "interior", Motor = "motor",
        Motorcycle = "motorcycle", Bumper = "bumper",
    }
);

impl Class {
    /// Classes that bear on the safe use of a vehicle: every fault on such a part is a caution, but for what
    /// `vocab/base/safety.toml` takes out.
    pub const SAFETY: [Class; 15] = [
        Class::Light,
        Class::ScreenGlass,
        Class::Tyre,
        Class::Brake,
        Class::Steering,
        Class::Suspension,
        Class::Structure,
        Class::Belt,
        Class::Airbag,
        Class::Exhaust,
        Class::Fuel,
        Class::Gas,
        Class::HighVoltage,
        Class::Tow,
        Class::Jack,
    ];
}

choices!(
    /// Whose view a fault of the windscreen is in.
    Before { Driver = "driver", Passenger = "passenger", Unsaid = "unsaid" }
);
choices!(
    /// How it is known of a part whether it works.
    TriedBy { Failing = "failing", Praise = "praise", Driving = "driving", Feel = "feel", Denial = "denial" }
);
choices!(
    /// What a hedge does to severity.
    Effect { Lighter = "lighter", Trace = "trace", Heavier = "heavier", Heavy = "heavy" }
);
impl Effect {
    pub fn name(self) -> &'static str {
        match self {
            Effect::Lighter => "lighter",
            Effect::Trace => "trace",
            Effect::Heavier => "heavier",
            Effect::Heavy => "heavy",
        }
    }
}

choices!(
    /// On which side of a fault a hedge stands.
    Where { Either = "either", Before = "before", After = "after" }
);
choices!(
    /// What a standing trigger says of the faults in its reach.
    Means {
        Denied = "denied", General = "general", Contrast = "contrast", Fixed = "fixed", Hypothetical = "hypothetical",
        Idle = "idle", Withdrawn = "withdrawn", Doubt = "doubt", Hearsay = "hearsay", Exception = "exception",
        NotDenied = "not-denied", Mended = "mended",
    }
);
choices!(
    /// Which way a trigger reaches.
    Reach { After = "after", Before = "before", Clause = "clause" }
);
choices!(
    /// A side as it is spoken.
    SaidSide {
        Left = "left", Right = "right", Near = "near", Off = "off", Driver = "driver", Passenger = "passenger",
        Kerb = "kerb", This = "this", That = "that", Other = "other", Both = "both", All = "all", Centre = "centre",
    }
);
choices!(
    /// A move that turns the walk round without naming a side.
    Turn { Onward = "onward", Clockwise = "clockwise", Anticlockwise = "anticlockwise", Across = "across" }
);
choices!(
    /// What a pointing word stands for.
    Points {
        Another = "another", Same = "same", OtherOne = "other-one", ThisOne = "this-one", One = "one", AsWell = "as-well",
    }
);
choices!(
    UnitKind {
        Length = "length", Distance = "distance", Money = "money", Percent = "percent", Tread = "tread",
        Pressure = "pressure", Hours = "hours", Volume = "volume", Other = "other", LengthOrDistance = "length-or-distance",
    }
);
choices!(
    NumberRole {
        Unit = "unit", Teen = "teen", Ten = "ten", Hundred = "hundred", Scale = "scale", Ordinal = "ordinal",
        Vague = "vague", Half = "half", Point = "point", About = "about", Oh = "oh", Link = "link", Odd = "odd", Range = "range",
    }
);
choices!(
    /// What a cue asks of the listener.
    CueKind { Note = "note", Withdraw = "withdraw", Correct = "correct", NextVehicle = "next-vehicle", Picture = "picture" }
);
choices!(
    /// Small words by what they do in a sentence.
    GrammarClass {
        Filler = "filler", Be = "be", Have = "have", There = "there", It = "it", Person = "person",
        Determiner = "determiner", And = "and", Or = "or", But = "but", So = "so", Because = "because", Which = "which",
        Then = "then", Marker = "marker", Host = "host", By = "by", Of = "of", With = "with", From = "from", Modal = "modal",
        Takes = "takes", Loses = "loses", Likeness = "likeness", Not = "not", Do = "do", When = "when", Verb = "verb",
        Region = "region", Degree = "degree", Along = "along", Moves = "moves", Lead = "lead", Past = "past", Sized = "sized", Layer = "layer", Low = "low", None = "none", Fitted = "fitted", Priced = "priced", Spot = "spot", Odometer = "odometer",
        InView = "in-view", OutOfView = "out-of-view", Powered = "powered", Mine = "mine", Like = "like-this",
    }
);
