/** The calculations of the second piece, by name. */
import { SERVICE_CALCULATIONS } from "../../../domain/calculations-service";
import { byName } from "./shared";

export const by = byName(SERVICE_CALCULATIONS);
