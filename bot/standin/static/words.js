/** What the phone says of itself, in the language of its owner. */
export const LABELS = {
  en: {
    send: "Send",
    clear: "Clear",
    message: "Text message",
    conversation: "Conversation",
    keys: "Keys",
    empty: "No texts yet.",
    letters: "characters",
    texts: "texts",
    numbersMode: "123",
    lettersMode: "ABC",
    toLetters: "to letters",
    toNumbers: "to numbers",
    space: "space",
    me: "sent",
    them: "received",
    states: { waiting: "sending", taken: "sent", "given up": "not taken", delivered: "" },
  },
  es: {
    send: "Enviar",
    clear: "Borrar",
    message: "Mensaje de texto",
    conversation: "Conversación",
    keys: "Teclas",
    empty: "Todavía no hay mensajes.",
    letters: "letras",
    texts: "mensajes",
    numbersMode: "123",
    lettersMode: "ABC",
    toLetters: "a letras",
    toNumbers: "a números",
    space: "espacio",
    me: "enviado",
    them: "recibido",
    states: { waiting: "enviando", taken: "enviado", "given up": "no salió", delivered: "" },
  },
};

const TARGETS = {
  fleahopper: "fleahopper",
  lygus: "plant bug (lygus)",
  piratebug: "minute pirate bug",
  bigeyedbug: "big-eyed bug",
  ladybeetle: "lady beetle",
  armyworm: "beet armyworm",
  stinkbug: "stink bug",
  cloudedbug: "clouded plant bug",
  bollhurt: "bolls hurt inside",
  dirtysquares: "dirty squares",
  dirtyblooms: "dirty blooms",
};

/** A level's target or share, as people say it; a season's own key where we know no name. */
export const targetName = (level) => {
  const key = level.target ?? level.share;
  return TARGETS[key] ?? key;
};

const STANDINGS = {
  above: { sign: "▲", word: "ABOVE", kind: "above" },
  below: { sign: "▼", word: "BELOW", kind: "below" },
  "in range": { sign: "◆", word: "IN RANGE", kind: "range" },
};

const NEEDS = { squares: "squares are missing", stage: "the stage is missing" };

/** What is missing to know a standing, `counted` being a site's samples or a field's sites; "" where nothing is. */
export const needsWords = (level, counted) => {
  if (level.standing !== "unknown") return "";
  if (NEEDS[level.needs]) return NEEDS[level.needs];
  const ofField = level.sites !== undefined;
  if (counted > 0) return ofField ? "too few sites to know" : "too few samples to know";
  return ofField ? "no finished site to go by" : "nothing counted yet";
};

/**
 * A standing in words: `sign` and `word` never without each other, `how` is how sure it is.
 * `finished` is true where nothing planned is missing.
 */
export const standingWords = (level, finished) => {
  const known = STANDINGS[level.standing];
  if (!known) return { sign: "?", word: "NOT KNOWN YET", kind: "unknown", how: "" };
  if (finished) return { ...known, how: "final" };
  // Only above can be sure early: more samples take a count away from no one.
  return { ...known, how: level.certain && level.standing === "above" ? "FOR SURE" : "SO FAR" };
};

/** A figure to two places, or to as many as keep it on its own side of every mark. */
export const figure = (value, ...marks) => {
  for (let places = 2; places < 12; places += 1) {
    const said = Number(value.toFixed(places));
    if (marks.every((mark) => mark === null || said >= mark === value >= mark)) return String(said);
  }
  return String(value);
};

/** A level as it is written: 3, or 25-30 where it is a range. */
export const levelWords = ({ low, high }) => (low === high ? figure(high) : `${figure(low)}-${figure(high)}`);
