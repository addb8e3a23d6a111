// @ts-check
/** Text that is shown: what turns the direction of writing, and what steers a terminal, is shown as an escape. */

const UNSAFE = /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]/gu;

/**
 * Return a text with an escape for each character that is not safe to show.
 * @param {string} text
 */
export function visible(text) {
  return text.replace(UNSAFE, (letter) => {
    const number = letter.charCodeAt(0);
    return number < 256 ? `\\x${number.toString(16).padStart(2, "0")}` : `\\u${number.toString(16).padStart(4, "0")}`;
  });
}
