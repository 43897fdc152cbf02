// Made from shared/schemas/model-pack.schema.json by generate-types.mjs. Change the schema, not this file.
import type { Accepted, Aid, Caution, Check, Figure, Fluid, FollowOn, Isolation, Joint, Option, Part, Pose, Service, Setting, Supply, Tool, Unit } from "./procedure-pack";

/**
 * A compiled map of a model: shared/README.md §6.
 */
export interface ModelPack {
  format: "benchtrail.model/1";
  dealer: string;
  model: string;
  name: string;
  invented: boolean;
  years: [number, number];
  options: Option[];
  revision: number;
  issued: string;
  parts: {
    [k: string]: Part;
  };
  units: {
    [k: string]: Unit;
  };
  joints: {
    [k: string]: Joint;
  };
  figures: {
    [k: string]: Figure;
  };
  fluids: {
    [k: string]: Fluid;
  };
  tools: {
    [k: string]: Tool;
  };
  supplies: {
    [k: string]: Supply;
  };
  poses: {
    [k: string]: Pose;
  };
  settings: {
    [k: string]: Setting;
  };
  aids: {
    [k: string]: Aid;
  };
  cautions: {
    [k: string]: Caution;
  };
  checks: {
    [k: string]: Check;
  };
  follow_ons: {
    [k: string]: FollowOn;
  };
  isolations?: {
    [k: string]: Isolation;
  };
  accepted?: Accepted[];
  services?: {
    [k: string]: Service;
  };
}
