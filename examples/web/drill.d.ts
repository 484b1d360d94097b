import type { Session } from "./keyorder.js";

/** One drill in any page; its attributes are the settings. */
export declare class KeyorderDrill extends HTMLElement {
  readonly session: Session | undefined;
}

declare global {
  interface HTMLElementTagNameMap {
    "keyorder-drill": KeyorderDrill;
  }
}
