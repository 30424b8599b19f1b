/** Texts worth trying from a phone, made from how the fields stand now. */
import { missing } from "./fields.js";

const FIRST_CODES = { fleahopper: "FA", lygus: "LA", piratebug: "MP" };

const COUNTS = new Set(["scout", "leader"]);

/** The site that a text is about: the one that a phone named, or the one that a reply says comes next. */
const namedIn = (line) => {
  const found = line.direction === "out" ? /^\s*(\d+)/.exec(line.text) : /(?:Next|Sigue):? (\d+)/.exec(line.text);
  return found ? Number(found[1]) : null;
};

/** The unfinished site that the conversation named last; else the first unfinished one. */
const nextSite = (sites, lines) => {
  const unfinished = sites.filter((site) => missing(site).length > 0 && site.state !== "short");
  const named = lines.map(namedIn).reverse();
  const last = named.find((number) => unfinished.some((site) => site.site === number));
  return unfinished.find((site) => site.site === last) ?? unfinished[0];
};

/** A code on the site's card: from what was counted there, else from what its levels are about. */
const codeOf = (site) => {
  const counted = Object.values(site.samples)[0];
  return counted ? Object.keys(counted)[0] : FIRST_CODES[site.levels[0]?.target];
};

const ofScout = (sites, lines, spanish) => {
  const site = nextSite(sites, lines);
  if (!site) return [String(sites[0].site), "PLAN", spanish ? "TARJETA" : "CARD"];
  const [first, second] = missing(site);
  const code = codeOf(site);
  const counted = code ? `${site.site} ${first} ${code}2` : null;
  const nothing = `${site.site} ${code ? (second ?? first) : first} 0`;
  return [counted, nothing, String(site.site)].filter(Boolean);
};

/** Up to three texts for a person, given the board's fields and the phone's conversation. */
export const examplesFor = (person, fields, lines) => {
  const sites = fields.flatMap((one) => one.sites);
  const spanish = person.language === "es";
  const help = spanish ? "AYUDA" : "HELP";
  if (!sites.length || !person.roles.length) return [help];
  if (person.roles.some((role) => COUNTS.has(role))) return ofScout(sites, lines, spanish);
  const field = String(fields[0].number);
  if (person.roles.includes("supervisor")) {
    return [spanish ? "HOY" : "TODAY", spanish ? "GENTE" : "CREW", field];
  }
  return [field, "OK", help];
};
