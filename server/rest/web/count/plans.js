// The order that a spin is planned in: the last one that was kept, or a common one.

const part = (form, revolutions) => ({ form, revolutions, features: [] });
const foot = (...parts) => ({ change: "STEP", reversed: false, parts });

/** COMMON are spins to begin with where none was counted yet, by the name of their words. */
export const COMMON = {
  layback: { entry: "NONE", feet: [foot(part("BACK", 8), part("SIDE", 3), part("LAYBACK_VARIATION", 3))] },
  combination: { entry: "NONE", feet: [foot(part("CAMEL_SIDEWAYS", 8)), foot(part("SIT_BEHIND", 3), part("UPRIGHT_STRAIGHT", 3))] },
  sitChange: { entry: "NONE", feet: [foot(part("SIT_FORWARD", 8)), foot(part("SIT_BEHIND", 4))] },
  flyingCamel: { entry: "PLAIN", feet: [foot(part("CAMEL", 3), part("CAMEL_SIDEWAYS", 8))] },
};
