/** An element with attributes and children; strings become text, never markup. */
export const make = (name, attributes = {}, ...children) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined && value !== false) element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
};

/** Words for those who listen to the page, not shown. */
export const unseen = (words) => make("span", { class: "unseen" }, words);

/** The element with an id. */
export const at = (id) => document.getElementById(id);
