/** A marked stretch of a recording, as SigMF has it. */
export interface Annotation {
  readonly "core:sample_start": number;
  readonly "core:sample_count": number;
  /** At radio frequency where the capture tells its own, else counted from the centre. */
  readonly "core:freq_lower_edge": number;
  readonly "core:freq_upper_edge": number;
  /** At most 20 characters. */
  readonly "core:label": string;
  readonly "core:comment": string;
  readonly "core:generator": string;
}
