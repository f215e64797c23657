//! The window against one input.

use crate::args::SweepCall;
use crate::failure::Failure;
use crate::output::{FIGURE, complain, json, print};
use crate::progress::side_by_side;
use gatefrost_core::format::{number, quoted};
use gatefrost_plot::{Drawing, Style, SweepFigure, svg};
use gatefrost_window::{Detail, Input, Swept, Unswept};
use serde::Serialize;

/// What `sweep` prints.
#[derive(Serialize)]
struct Sweep<'a> {
    input: &'a str,
    title: &'static str,
    unit: &'static str,
    present: Option<f64>,
    points: &'a [Swept],
}

/// Sweeps an input over its values, as many at once as there are cores.
pub(crate) fn sweep(call: &SweepCall) -> Result<(), Failure> {
    let source = &call.file.source;
    let scenario = source.scenario()?;
    scenario.validate_plane().map_err(|error| Failure::scenario(&source.name(), &error))?;
    let refused = |why: String| Failure::Bad(vec![format!("--input: {} {why}", quoted(&call.input))]);
    if call.svg.as_deref().is_some_and(|out| source.path() == Some(out)) {
        return Err(Failure::Usage("--svg: the SVG would overwrite the scenario".to_owned()));
    }
    let input = Input::of(&scenario, &call.input).map_err(|why| {
        refused(match why {
            Unswept::Unknown => format!("is no number of {}", source.name()),
            Unswept::Spans => "spans the plane, so the window does not depend on its value".to_owned(),
        })
    })?;
    if !input.spans(call.from, call.to) {
        let [from, to] = [call.from, call.to].map(|end| number(end, 6));
        let accepted = input.parameter.range_text();
        return Err(Failure::Bad(vec![format!(
            "--from, --to: are {from} and {to}; accepted is a rising range within {accepted}"
        )]));
    }
    let values = input.values(call.from, call.to, usize::from(call.steps));
    let detail = if call.coarse { Detail::Coarse } else { Detail::Fine };
    let found = side_by_side(values.len(), "windows", |k| Some(input.swept(&scenario, values[k], detail)));
    let points: Vec<Swept> = found.into_iter().flatten().collect();
    let present = input.value(&scenario);
    let figure = SweepFigure {
        name: &scenario.name,
        plane: &scenario.window,
        input: &input,
        present,
        points: &points,
    };
    if let Some(out) = &call.svg {
        let named = out.display().to_string();
        let style = Style { title: true, ..Style::default() };
        let drawn = svg(&figure, FIGURE.0, FIGURE.1, &style)
            .map_err(|e| Failure::Bad(vec![format!("{named}: {e}")]))?;
        std::fs::write(out, drawn).map_err(|e| Failure::io(&named, &e))?;
        complain(&format!("the figure is in {named}"));
    }
    if call.csv {
        return print(figure.table().to_csv().trim_end());
    }
    let parameter = input.parameter;
    print(&json(&Sweep {
        input: &call.input,
        title: parameter.title,
        unit: parameter.unit,
        present,
        points: &points,
    })?)
}
