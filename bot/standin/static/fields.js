/** The fields: each site's samples as they come in, each target's density against its level. */
import { at, make, unseen } from "./elements.js";
import { figure, levelWords, needsWords, standingWords, targetName } from "./words.js";

const finished = (site) => site.state === "done" || site.state === "short";

/** Sample numbers that are in; a site sent as totals has as many as it counted. */
const samplesIn = (site) =>
  new Set(
    site.totals
      ? Array.from({ length: site.totals.samples }, (_, place) => place + 1)
      : Object.keys(site.samples).map(Number),
  );

/** Sample numbers of a site that are neither in nor lost, lowest first. */
export const missing = (site) => {
  const there = samplesIn(site);
  const planned = Array.from({ length: site.samples_planned ?? 0 }, (_, place) => place + 1);
  return planned.filter((number) => !there.has(number) && !site.lost.includes(number));
};

const countsOf = (counts) =>
  Object.entries(counts ?? {})
    .map(([code, count]) => `${code} ${count ?? "not counted"}`)
    .join(", ");

const cells = (site, before) => {
  const there = samplesIn(site);
  const earlier = before ? samplesIn(before) : there;
  const row = make("ol", { class: "cells", "aria-label": `samples of ${site.site}` });
  for (let number = 1; number <= (site.samples_planned ?? 0); number += 1) {
    const isLost = site.lost.includes(number);
    const isIn = there.has(number);
    const kind = isLost ? "lost" : isIn ? "in" : "out";
    const fresh = isIn && !earlier.has(number) ? " fresh" : "";
    const counts = isIn ? countsOf(site.samples[number]) : "";
    const said = isLost ? "lost" : isIn ? "in" : "not in";
    row.append(
      make(
        "li",
        { class: `cell ${kind}${fresh}`, "data-sample": number, title: counts ? `${number}: ${counts}` : null },
        String(number),
        unseen(` ${said}${counts ? `, ${counts}` : ""}`),
      ),
    );
  }
  return row;
};

const pill = (level, done) => {
  const { sign, word, kind, how } = standingWords(level, done);
  return make(
    "span",
    { class: `standing ${kind}` },
    make("span", { "aria-hidden": "true", class: "sign" }, sign),
    make("b", {}, word),
    how ? make("span", { class: "how" }, ` ${how}`) : null,
  );
};

/** A bar as long as the density, on a scale that shows twice the level, the level marked on it. */
const gauge = (level, before) => {
  const density = level.density ?? 0;
  const scale = Math.max(level.high * 2, density * 1.1);
  const share = (value) => `${(100 * value) / scale}%`;
  const bar = make("span", { class: `gauge ${standingWords(level, false).kind}`, "aria-hidden": "true" });
  const fill = make("span", { class: "fill" });
  fill.style.setProperty("--was", share(Math.min(before?.density ?? 0, scale)));
  fill.style.setProperty("--is", share(density));
  const mark = make("span", { class: level.low < level.high ? "mark wide" : "mark" });
  mark.style.setProperty("--from", share(level.low));
  mark.style.setProperty("--to", share(level.high));
  bar.append(fill, mark);
  return bar;
};

const densityWords = (level, counted) => {
  const needs = needsWords(level, counted);
  if (level.density === null) return [needs];
  const per = level.per ? ` per ${level.per}` : "";
  const figures = make("b", {}, figure(level.density, level.low, level.high));
  return [figures, needs ? `${per}; ${needs}` : per];
};

const levelRow = (level, done, before, counted) => {
  const against = level.high === null ? "no level in force" : `level ${levelWords(level)}`;
  const old = before?.levels.find((one) => one.target === level.target && one.share === level.share);
  return make(
    "div",
    { class: "level" },
    make("span", { class: "target" }, targetName(level)),
    pill(level, done),
    level.high === null ? null : gauge(level, old),
    make("span", { class: "numbers" }, ...densityWords(level, counted), make("span", { class: "against" }, against)),
  );
};

const stateOf = (site) => {
  const count = `${site.samples_in} of ${site.samples_planned ?? 0} in`;
  const reason = site.reason ? `: ${site.reason}` : "";
  if (site.samples_planned === null) return "no plan in this stage";
  if (site.state === "short") return `${count}, cut short${reason}`;
  if (site.state === "done") return `${count}, done`;
  if (site.state === "none" && site.reason) return `skipped${reason}`;
  return count;
};

const asides = (site) => {
  const shares = Object.entries(site.shares).map(([code, share]) => `${code} ${share.n} of ${share.of}`);
  const extras = Object.entries(site.extras).map(([number, seen]) => `sample ${number} also ${countsOf(seen)}`);
  return [...shares, ...extras].join(" · ");
};

const siteRow = (site, before, alone) => {
  const aside = asides(site);
  return make(
    "article",
    { class: before ? "site changed" : "site", "data-site": site.site, "aria-label": `site ${site.site}` },
    make(
      "div",
      { class: "visit" },
      alone ? null : make("b", { class: "number" }, String(site.site)),
      cells(site, before),
      make("span", { class: "count" }, stateOf(site), site.method ? make("small", {}, site.method) : null),
    ),
    ...site.levels.map((level) => levelRow(level, finished(site), before, site.samples_in)),
    aside ? make("p", { class: "aside" }, aside) : null,
  );
};

const keepOut = (field) => {
  if (!field.closed_until) return null;
  const until = field.closed_until === "unknown" ? "until when is not known" : `until ${field.closed_until}`;
  return make("p", { class: "keepout" }, make("b", {}, "KEEP OUT"), ` ${until}`);
};

const wholeField = (field, before) => {
  if (!field.levels.length) return null;
  const [{ sites_in: sitesIn, sites }] = field.levels;
  return make(
    "div",
    { class: "whole" },
    make(
      "div",
      { class: "visit" },
      make("b", {}, `Field ${field.field}`),
      make("span", { class: "count" }, `mean of its sites, ${sitesIn} of ${sites} finished`),
    ),
    ...field.levels.map((level) => levelRow(level, field.state === "final", before, level.sites_in)),
  );
};

const fieldCard = (one, before) => {
  const { field, sites } = one;
  const several = field.site === undefined;
  const oldSite = (site) => {
    const old = before?.sites.find((each) => each.site === site.site);
    // A new day begins with empty squares: that is no news of the site.
    return old?.day === site.day && JSON.stringify(old) !== JSON.stringify(site) ? old : null;
  };
  return make(
    "section",
    { class: "field", "data-field": one.number, "aria-label": `field ${one.number}, ${one.name}` },
    make(
      "h3",
      {},
      make("span", { class: "number" }, String(one.number)),
      ` ${one.name} `,
      make("small", {}, field.stage === "unknown" ? "stage not known" : field.stage),
    ),
    keepOut(field),
    ...sites.map((site) => siteRow(site, oldSite(site), !several)),
    several ? wholeField(field, before?.field) : null,
  );
};

/** What changed, for the line above the fields: "121: 3 of 10 in. plant bug (lygus) BELOW SO FAR." */
const newsOf = (site) => {
  const standings = site.levels.map((level) => {
    const { word, how } = standingWords(level, finished(site));
    return `${targetName(level)} ${word}${how ? ` ${how}` : ""}`;
  });
  return [`${site.site}: ${stateOf(site)}`, ...standings].join(". ") + ".";
};

let shown = new Map(); // field number -> what its card shows

/** Shows the fields; only the cards of fields that changed are made anew. */
export const showFields = (fields) => {
  const place = at("fields");
  const fresh = new Map(fields.map((one) => [one.number, one]));
  const first = shown.size === 0;
  if ([...fresh.keys()].join() !== [...shown.keys()].join()) {
    place.replaceChildren(...fields.map((one) => fieldCard(one, null)));
    shown = fresh;
    return;
  }
  for (const one of fields) {
    const before = shown.get(one.number);
    if (JSON.stringify(before) === JSON.stringify(one)) continue;
    const card = fieldCard(one, before);
    place.querySelector(`[data-field="${one.number}"]`).replaceWith(card);
    const changed = card.querySelector(".changed");
    if (changed && !first) {
      const site = one.sites.find((each) => String(each.site) === changed.dataset.site);
      at("news").textContent = newsOf(site);
      bringIntoView(changed);
    }
  }
  shown = fresh;
};

/** Scrolls the fields alone, and only where they scroll by themselves: never the phone out of sight. */
const bringIntoView = (row) => {
  const pane = at("fields");
  if (pane.scrollHeight <= pane.clientHeight + 1) return;
  const [outer, inner] = [pane.getBoundingClientRect(), row.getBoundingClientRect()];
  if (inner.top < outer.top) pane.scrollTop += inner.top - outer.top - 12;
  if (inner.bottom > outer.bottom) pane.scrollTop += inner.bottom - outer.bottom + 12;
};
