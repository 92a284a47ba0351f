/** The look: a constructed style sheet, which a page's policy need not allow. Shops set the properties at the top. */
export const look = new CSSStyleSheet();

look.replaceSync(`
:host {
  --paper: var(--axle-fit-paper, light-dark(#fbfaf6, #0e2135));
  --panel: var(--axle-fit-panel, light-dark(#f1efe6, #16304b));
  --ink: var(--axle-fit-ink, light-dark(#17293b, #eaf1f7));
  --faint: var(--axle-fit-faint, light-dark(#4c5d6c, #b5c6d6));
  --line: var(--axle-fit-line, light-dark(#748594, #6d86a0));
  --mark: var(--axle-fit-mark, light-dark(#0b4f8a, #a5d4ff));
  --on-mark: var(--axle-fit-on-mark, light-dark(#ffffff, #0e2135));
  --focus: var(--axle-fit-focus, light-dark(#b4400a, #ffc27a));
  --fault: var(--axle-fit-fault, light-dark(#9b1c1c, #ffb4a8));
  --fits: var(--axle-fit-fits, light-dark(#1c6434, #8fdba6));
  --caution: var(--axle-fit-caution, light-dark(#7d4a00, #ffd08a));
  --check: var(--axle-fit-check, light-dark(#0b4f8a, #a5d4ff));
  container-type: inline-size; display: block; background: var(--paper); color: var(--ink);
  font: var(--axle-fit-font, 1rem/1.5 "DejaVu Sans", "Segoe UI", system-ui, sans-serif);
}
:host([hidden]), [hidden] { display: none !important; }
*, ::before, ::after { box-sizing: border-box; }
section[part=filter] { padding: 1rem; border: 1px solid var(--line); overflow-wrap: anywhere; }
h2, h3, p, ul, ol, fieldset { margin: 0; padding: 0; }
h2 { font-size: 1.25rem; line-height: 1.3; margin-bottom: .75rem; }
h3 { font-size: 1rem; line-height: 1.4; }
fieldset { border: 0; min-width: 0; }
.columns, .asked, form, .questions, .found, .rest { display: grid; gap: 1rem; align-content: start; min-width: 0; }
details[part=facets] fieldset { margin-top: .75rem; }
.questions { padding: .75rem; background: var(--panel); border-left: 3px solid var(--mark); }
.field { display: grid; gap: .25rem; }
label, legend, summary { font-weight: 600; }
legend { padding: 0; margin-bottom: .25rem; }
summary { cursor: pointer; padding: .25rem 0; }
.row { display: flex; flex-wrap: wrap; gap: .25rem .75rem; align-items: center; }
.option { display: inline-flex; gap: .5rem; align-items: center; min-height: 2rem; font-weight: 400; cursor: pointer; }
details[part=facets] .option { display: flex; }
.option input { inline-size: 1.125rem; block-size: 1.125rem; margin: 0; flex: none; accent-color: var(--mark); }
.count { margin-left: auto; color: var(--faint); font-variant-numeric: tabular-nums; }
.hint { color: var(--faint); font-size: .875rem; }
.fault { color: var(--fault); font-weight: 600; }
.hint:empty, .fault:empty, [part=status] p:empty { display: none; }
input:not([type]), select {
  font: inherit; color: inherit; background: var(--panel); border: 1px solid var(--line); border-radius: 2px;
  padding: .375rem .5rem; min-height: 2.5rem; min-width: 0; max-width: 100%;
}
input:not([type]) { flex: 1 1 7rem; }
[aria-invalid=true] { border-color: var(--fault); outline: 1px solid var(--fault); }
button {
  font: inherit; font-weight: 600; min-height: 2.5rem; padding: .375rem 1rem; justify-self: start; cursor: pointer;
  background: var(--paper); color: var(--mark); border: 1px solid var(--mark); border-radius: 2px;
}
button[part=choose] { background: var(--mark); color: var(--on-mark); }
:focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }
ol { list-style: none; display: grid; gap: .75rem; }
ol:empty { display: none; }
ol[aria-busy=true] { opacity: .75; }
li[part=axle] { display: grid; gap: .375rem; align-content: start; padding: .75rem; border: 1px solid var(--line); background: var(--panel); }
.verdict { display: flex; gap: .5rem; align-items: center; }
.verdict.fits { color: var(--fits); }
.verdict.fits_with_caution { color: var(--caution); }
.verdict.check_first { color: var(--check); }
.sign { inline-size: 1.5rem; block-size: 1.5rem; flex: none; fill: none; stroke: currentColor; stroke-width: 2; stroke-linecap: round; stroke-linejoin: round; }
.facts { display: flex; flex-wrap: wrap; gap: 0 1rem; }
[part=sku] { font-family: "DejaVu Sans Mono", ui-monospace, monospace; font-size: .9375em; }
[part=price] { font-weight: 600; }
ul { padding-left: 1.125rem; font-size: .9375rem; }
img { display: block; max-width: 100%; height: auto; margin-top: .5rem; background: #fff; }
[part=cautions] { border-top: 1px solid var(--line); padding-top: .75rem; color: var(--faint); }
@container (min-width: 44rem) {
  .columns { grid-template-columns: minmax(16rem, 22rem) minmax(0, 1fr); gap: 1.5rem; }
}
@container (min-width: 80rem) {
  ol { grid-template-columns: repeat(2, minmax(0, 1fr)); }
}
@media (prefers-reduced-motion: no-preference) { ol { transition: opacity .15s; } }
@media print { form, details[part=facets], button { display: none; } }
`);
