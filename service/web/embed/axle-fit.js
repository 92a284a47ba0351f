/**
 * The filter element for a shop's page: <axle-fit-filter api="https://…" lang="de"></axle-fit-filter>.
 *
 * The element's name, its attributes and its events stay as they are under this file's name.
 */
import { AxleFitFilter } from "./axle-fit/element.js";

if (!customElements.get("axle-fit-filter")) customElements.define("axle-fit-filter", AxleFitFilter);
