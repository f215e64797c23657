//! Every figure of Gatefrost, drawn once for the page's canvas and for SVG files.
//!
//! A figure is laid out on a display list and then played on any plotters backend.
//! Nothing here computes physics: figures show the lists of a [`Report`] or a [`Window`].

mod after;
mod along;
mod axes;
mod backend;
mod calorimetry;
mod cavity;
mod chart;
mod curves;
mod cycle;
mod display_list;
mod gate;
mod hatch;
mod holding;
mod labels;
mod laboratory;
mod limit_lines;
mod lines;
mod names;
mod over;
mod placer;
mod planning;
mod reading;
mod style;
mod sweep;
mod table;
mod trials;
mod window;

pub use after::AfterFigure;
pub use axes::{AxisSpan, Layout, Name, Panel};
pub use backend::PlotError;
pub use chart::{Chart, ChartAxis, ChartCurve, ChartForm, ChartMark};
pub use display_list::{DisplayList, Rect};
pub use gate::GateDetail;
pub use gatefrost_palette::{Color, FONT_FAMILY, Palette};
pub use laboratory::{FlowStudy, LoadingStudy, RecipeStudy, Study};
pub use over::Over;
pub use planning::PlanFigure;
pub use reading::{Reading, nearest_line, reading};
pub use style::Style;
pub use sweep::SweepFigure;
pub use table::{DataCell, DataColumn, DataTable};
pub use trials::{TRIAL_QUANTITIES, TRIAL_SETTINGS, TrialFigure, TrialForecasts, TrialNumber, TrialReading};
pub use window::nothing_usable;

use cavity::Shown;
use gatefrost_report::{CellPlace, HoldStudy, Moment, Moments, PassageReport, Phase, Report};
use gatefrost_window::Window;
use plotters_backend::DrawingBackend;
use plotters_svg::SVGBackend;

/// A moment of the cycle.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    /// The cycle.
    pub moments: &'a Moments,
    /// Which of its moments.
    pub index: usize,
}

impl<'a> At<'a> {
    /// The moment, where there is one of that number.
    pub fn moment(&self) -> Option<&'a Moment> {
        self.moments.moments.get(self.index)
    }

    /// The cells of a passage, with their places in the lists.
    fn cells_of(&self, passage: usize) -> impl Iterator<Item = (usize, &'a CellPlace)> {
        self.moments.cells.iter().enumerate().filter(move |(_, cell)| cell.passage == passage)
    }

    /// When, in words to follow a comma.
    fn words(&self) -> String {
        let Some(moment) = self.moment() else { return String::new() };
        let stage = match moment.stage {
            Phase::Fill => "filling",
            Phase::Hold => "holding",
            Phase::Cool => "cooling",
        };
        format!(", {stage}, {} s", axes::reading(moment.time_s))
    }
}

/// The figures of a scenario by their names. A line gives the name that a page asks by, and the variant.
macro_rules! figures {
    ($($name:ident: $variant:ident;)+) => {
        /// Which figure of a scenario, without its data.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum FigureKind {
            $(#[doc = concat!("[`Figure::", stringify!($variant), "`].")] $variant,)+
        }

        impl FigureKind {
            /// Every figure.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// The name that a page asks by.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => stringify!($name),)+
                }
            }

            /// The figure of a name.
            pub fn named(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|kind| kind.name() == name)
            }
        }

        impl Figure<'_> {
            /// Which figure it is.
            pub fn kind(&self) -> FigureKind {
                match self {
                    $(Self::$variant { .. } => FigureKind::$variant,)+
                }
            }
        }
    };
}

figures! {
    window: Window;
    passages: Passages;
    cavity: Cavity;
    path: Path;
    pressures: Pressures;
    trace: Trace;
    hold: Hold;
    mass: Mass;
    cycle: Cycle;
    viscosity: Viscosity;
}

/// What to draw.
#[derive(Debug, Clone, Copy)]
pub enum Figure<'a> {
    /// The limit lines of a plane and the set point in it.
    Window {
        /// The window.
        window: &'a Window,
        /// The set point (x, y) in the plane's edge units.
        set_point: [f64; 2],
        /// What lies over it.
        over: Over<'a>,
    },
    /// Viscosity against shear rate, this part's own shear rates marked.
    Viscosity(&'a Report),
    /// Nozzle and gate pressure and the flow rate while the cavity fills.
    Pressures(&'a Report),
    /// Temperature, frozen layer and pressure along the way to an end of flow.
    Path {
        /// The report.
        report: &'a Report,
        /// When; at the end of filling without.
        at: Option<At<'a>>,
        /// Position of the passage whose end leads; the last to fill without.
        end: Option<usize>,
    },
    /// Pressures and the gates' openness after filling.
    Hold(&'a Report),
    /// Pressures over the whole cycle.
    Trace(&'a Report, &'a Moments),
    /// Part mass and shrinkage against the hold time.
    Mass(&'a Report, &'a HoldStudy),
    /// The flow path as a section with the melt in it, at a moment or where filling left it.
    Cavity(&'a Report, Option<At<'a>>),
    /// The flow path alone, while it is being edited, with one passage picked out.
    Passages {
        /// The passages.
        passages: &'a [PassageReport],
        /// Position of the passage that is picked out.
        chosen: Option<usize>,
    },
    /// The cycle as a strip.
    Cycle(&'a Report),
}

/// What can be drawn: a [`Figure`] of a scenario or a [`Study`] of the laboratory.
///
/// A page that draws only one of them does not carry the code of the other.
pub trait Drawing {
    /// What it shows, in a few words.
    fn caption(&self) -> String;

    /// Name of the scenario or feedstock shown; empty where it is not known.
    fn name(&self) -> &str;

    /// The numbers behind it.
    fn table(&self) -> DataTable;

    /// Puts it on a display list and says where its plots lie.
    #[doc(hidden)]
    fn lay_out(&self, list: &mut DisplayList) -> Layout;
}

impl Drawing for Figure<'_> {
    fn caption(&self) -> String {
        match self {
            Self::Window { window, .. } => {
                let (x, y) = (window.plane.x.axis.parameter(), window.plane.y.axis.parameter());
                format!("Window: {} against {}", lowered(y.title), lowered(x.title))
            }
            Self::Viscosity(_) => "Viscosity against shear rate".to_owned(),
            Self::Pressures(_) => "Pressure and flow rate while filling".to_owned(),
            Self::Path { at: None, .. } => "Along the flow path at the end of filling".to_owned(),
            Self::Path { at: Some(at), .. } => format!("Along the flow path{}", at.words()),
            Self::Hold(_) => "Pressures while holding".to_owned(),
            Self::Trace(..) => "Pressures over the cycle".to_owned(),
            Self::Mass(..) => "Part mass against hold time".to_owned(),
            Self::Cavity(_, at) => {
                format!("Flow path in section{}", at.map_or_else(String::new, |at| at.words()))
            }
            Self::Passages { .. } => "Flow path in section".to_owned(),
            Self::Cycle(_) => "Cycle".to_owned(),
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Window { .. } | Self::Passages { .. } => "",
            Self::Viscosity(r)
            | Self::Pressures(r)
            | Self::Path { report: r, .. }
            | Self::Hold(r)
            | Self::Trace(r, _)
            | Self::Mass(r, _)
            | Self::Cavity(r, _)
            | Self::Cycle(r) => &r.scenario,
        }
    }

    fn table(&self) -> DataTable {
        let caption = self.caption();
        match self {
            Self::Window { window, over, .. } => window::table(window, *over, caption),
            Self::Viscosity(report) => curves::viscosity_table(report, caption),
            Self::Pressures(report) => curves::fill_table(report, caption),
            Self::Path { report, at, end } => along::table(report, *at, *end, caption),
            Self::Hold(report) => holding::hold_table(report, caption),
            Self::Trace(report, moments) => holding::trace_table(report, moments, caption),
            Self::Mass(_, study) => holding::mass_table(study, caption),
            Self::Cavity(..) | Self::Passages { .. } => cavity::table(self.cavity().passages, caption),
            Self::Cycle(report) => cycle::table(report, caption),
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let caption = self.caption();
        let stack = match self {
            Self::Window { window, set_point, over } => {
                return window::draw(list, window, *set_point, *over, &caption);
            }
            Self::Cavity(..) | Self::Passages { .. } => return cavity::draw(list, self.cavity(), &caption),
            Self::Cycle(report) => return cycle::draw(list, report, &caption),
            Self::Viscosity(report) => curves::viscosity(report, list.units),
            Self::Pressures(report) => curves::fill(report),
            Self::Path { report, at, end } => along::stack(report, *at, *end),
            Self::Hold(report) => holding::hold(report),
            Self::Trace(report, moments) => holding::trace(report, moments),
            Self::Mass(report, study) => holding::mass(report, study),
        };
        lay_out_stack(list, &stack, &caption, self.name())
    }
}

impl Figure<'_> {
    /// What there is of the cavity in a figure of it.
    fn cavity(&self) -> Shown<'_> {
        let nothing = Shown { name: "", passages: &[], report: None, at: None, chosen: None };
        match *self {
            Self::Cavity(report, at) => {
                let passages = &report.cavity.passages;
                Shown { name: &report.scenario, passages, report: Some(report), at, chosen: None }
            }
            Self::Passages { passages, chosen } => Shown { passages, chosen, ..nothing },
            _ => nothing,
        }
    }
}

/// Draws curves over one axis.
fn lay_out_stack(list: &mut DisplayList, stack: &lines::StackOf<'_>, caption: &str, name: &str) -> Layout {
    let area = list.begin(caption, name);
    lines::draw(list, stack, area)
}

fn lowered(title: &str) -> String {
    let mut text = title.to_owned();
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_lowercase();
    }
    text
}

/// Draws a figure over the whole of a backend and says where its plots lie.
///
/// For SVG use [`svg`], which also makes up for that backend's smaller text and whole pixels.
///
/// # Errors
/// When the backend has no area or refuses to draw.
pub fn draw<DB: DrawingBackend>(
    backend: DB,
    figure: &dyn Drawing,
    style: &Style,
) -> Result<Layout, PlotError> {
    draw_fine(backend, figure, style, 1)
}

/// As [`draw`], on a backend that shows what it is given `fineness` times smaller: its coordinates are
/// whole numbers, and slanting lines would show that as stairs. The layout is in pixels as shown.
///
/// # Errors
/// When the backend has no area or refuses to draw.
pub fn draw_fine<DB: DrawingBackend>(
    backend: DB,
    figure: &dyn Drawing,
    style: &Style,
    fineness: u32,
) -> Result<Layout, PlotError> {
    let (width, height) = backend.get_size();
    let (wide, high) = (width.saturating_mul(fineness), height.saturating_mul(fineness));
    let fine = f64::from(fineness);
    let style = Style { scale: style.safe_scale() * fine, ..*style };
    let (list, layout) = lay_out(figure, wide, high, &style)?;
    backend::play(backend, &list, 1.0, fine)?;
    Ok(layout.shrunk(fine))
}

/// Coordinates of a plotters backend are whole numbers: an SVG is drawn this much larger than it
/// says it is.
const FINENESS: u32 = 8;

/// The SVG backend divides text sizes by this.
const SVG_TEXT: f64 = 1.24;

/// A figure as an SVG document of that many CSS pixels; `style.scale` plays no part.
///
/// # Errors
/// When the size is nothing or absurd.
pub fn svg(figure: &dyn Drawing, width_px: u32, height_px: u32, style: &Style) -> Result<String, PlotError> {
    let wrong = PlotError::Size { width: width_px, height: height_px };
    let fine = |px: u32| px.checked_mul(FINENESS).filter(|fine| (1..=backend::MOST_PIXELS).contains(fine));
    let (Some(width), Some(height)) = (fine(width_px), fine(height_px)) else { return Err(wrong) };
    let style = Style { scale: f64::from(FINENESS), ..*style };
    let (list, _) = lay_out(figure, width, height, &style)?;
    let mut drawn = String::new();
    backend::play(SVGBackend::with_string(&mut drawn, (width, height)), &list, SVG_TEXT, 1.0)?;

    // Our own opening tag in place of the backend's: true size, fine coordinates, a name.
    let body = drawn.split_once('>').map_or("", |(_, body)| body);
    let name = figure.name();
    let title = if name.is_empty() { figure.caption() } else { format!("{}: {name}", figure.caption()) };
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width_px}\" height=\"{height_px}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" stroke-linecap=\"butt\" stroke-linejoin=\"round\">\n\
         <title>{}</title>{body}",
        escaped(&title)
    ))
}

fn escaped(text: &str) -> String {
    display_list::clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Puts a figure on a display list of that many backend pixels.
fn lay_out(
    figure: &dyn Drawing,
    width: u32,
    height: u32,
    style: &Style,
) -> Result<(DisplayList, Layout), PlotError> {
    let fits = |side: u32| (1..=backend::MOST_PIXELS).contains(&side);
    if !fits(width) || !fits(height) {
        return Err(PlotError::Size { width, height });
    }
    let mut list = DisplayList::new(f64::from(width), f64::from(height), style);
    let layout = figure.lay_out(&mut list);
    Ok((list, layout))
}

#[cfg(test)]
mod tests;
