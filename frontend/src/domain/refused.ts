/** The one family of errors that the domain raises: a code and its values, never a sentence. Knows nothing of wording. */

export type RefusedValues = Record<string, string>;

/** An input that cannot be accepted, named by `code`; `values` fill the message (values with units as text). */
export class Refused extends Error {
  readonly code: string;
  readonly values: RefusedValues;
  constructor(code: string, values: RefusedValues = {}) {
    super(code);
    this.name = "Refused";
    this.code = code;
    this.values = values;
  }
}
