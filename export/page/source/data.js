// The page's data as Python hands it over (export/page/page_scene.py), and its arrays: base64 of
// little-endian figures. Lengths are mm about the model's origin, x east, y north, z up.

/**
 * @typedef {[number, number]} Pair
 * @typedef {[number, number, number]} Triple
 * @typedef {string} Floats base64 of float32; see `floats`
 * @typedef {string} Numbers base64 of uint32; see `numbers`
 */

/**
 * @typedef {object} PageData
 * @property {FenceData[]} models the alternatives; the first is shown first
 * @property {boolean} live whether rebuilt models are told of by the server
 * @property {FinishData[]} palette every finish that can be tried
 * @property {string[]} beside names of model files that are sent with the page
 */

/**
 * @typedef {object} FenceData
 * @property {string} name what the fence is switched to by
 * @property {string} title
 * @property {boolean} feet whether lengths are shown in feet and inches
 * @property {[string, string][]} facts names and values to show
 * @property {FinishData[]} finishes
 * @property {MarkData[]} marks
 * @property {LeafData[]} leaves
 * @property {GroundData} ground
 * @property {LightData} light
 * @property {GateData[]} gates
 * @property {LegData[]} legs
 * @property {PostData[]} posts
 * @property {OfferData} offer
 * @property {Record<FinishedPart, string>} finished names of the finishes that are offered
 * @property {HeadsData} heads
 */

/** @typedef {"pales" | "rails" | "posts"} FinishedPart what has a finish of its own */

/**
 * @typedef {object} OfferData what is said of a fence that is offered; what nobody gave is left out
 * @property {string} option what it is called among alternatives
 * @property {string} summary it in one sentence
 * @property {[string, string][]} differs in which parts it differs from other alternatives, and how
 * @property {string[]} same the parts that are the same in all
 * @property {string} [price] with tax, as on the proposal
 * @property {string} [tax] what is said under the price
 * @property {string} [holds] how long the offer holds
 * @property {string} [until] its last day, year-month-day
 * @property {string} [finish] in words
 * @property {string} [site]
 * @property {string} [client]
 * @property {string} [owner] whose offer it is
 * @property {string} [email] of the firm
 * @property {string} [number] of the quotation
 * @property {string} [dated] its date
 */

/**
 * @typedef {object} HeadsData the heads of pales
 * @property {string[]} offered
 * @property {Record<string, [number, number]>} marks which pale of a shape a mark's pales become, and
 *   their length, mm; marks that are left out keep their heads
 * @property {Record<string, HeadData[]>} shapes that can be tried, by name
 */

/**
 * @typedef {object} HeadData a pale with another head, its foot at z = 0
 * @property {Floats} points three figures each; what is not at the foot belongs to the head
 * @property {Numbers} triangles three corners each
 * @property {number} length overall, mm
 */

/**
 * @typedef {object} LightData linear; a plate like the fence's front gets light 1 in the sun
 * @property {Triple} sun the way to it, of length 1
 * @property {Triple} sunlight on a face that looks straight at it
 * @property {Triple} sky on level ground
 * @property {Triple} bounce what the ground throws back
 * @property {Triple} horizon the sky low over the ground
 * @property {Triple} zenith and high above
 * @property {Triple} lawn what grass sends on
 */

/**
 * @typedef {object} GateData
 * @property {Triple} at the middle of its opening, on the ground
 * @property {Pair} front the way its leg's front looks, of length 1
 * @property {number} width from post to post
 */

/**
 * @typedef {object} FinishData
 * @property {string} name
 * @property {Triple} colour red, green and blue of sRGB, 0 to 1
 * @property {number} roughness 0 to 1
 * @property {number} metallic 0 to 1
 * @property {number} wood how much of the grain shows: 0 for none, 1 for bare timber
 */

/**
 * @typedef {object} MarkData
 * @property {string} mark
 * @property {string} part the kind of piece, as pale or footing
 * @property {number} count
 * @property {Triple} size both sides of the section and the length
 * @property {string} note
 * @property {number} finish which of the finishes
 * @property {FinishedPart | ""} of what its finish is chosen with; empty for what is no timber
 * @property {number} grain the piece's axis that the grain runs along: 0 x, 2 z
 * @property {Floats} points corners of one piece, three figures each
 * @property {Numbers} triangles three corners each
 * @property {Floats} places of the members that do not turn: origin and quaternion, seven figures each
 */

/**
 * @typedef {object} LeafData
 * @property {string} name
 * @property {Triple} axis a point of the upright line that the leaf turns about
 * @property {number} degrees how far it opens, anticlockwise seen from above
 * @property {number[]} slides where it goes instead, east, north and up, nowhere on hinges
 * @property {LeafPartData[]} parts
 */

/**
 * @typedef {object} LeafPartData
 * @property {number} mark which of the marks
 * @property {Floats} places of its members on the leaf when shut, as a mark's
 */

/**
 * @typedef {object} GroundData
 * @property {Floats} points three figures each
 * @property {Numbers} triangles three points each
 * @property {Floats} tints red, green and blue of each point, that grass is multiplied by
 */

/**
 * @typedef {object} LegData
 * @property {Triple} start
 * @property {Triple} end
 * @property {Pair} front the direction that the pales look in
 * @property {number} length
 * @property {number} run which of the runs it belongs to
 */

/**
 * @typedef {object} PostData
 * @property {string} label
 * @property {string} kind
 * @property {Triple} at its foot at ground level
 * @property {Pair} along the direction of the fence
 * @property {number} top over the foot
 * @property {number} deep below ground, its bed too
 */

/**
 * @param {string} text
 * @returns {ArrayBuffer}
 */
function bytes(text) {
  const raw = atob(text);
  const out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i += 1) out[i] = raw.charCodeAt(i);
  return out.buffer;
}

/** @param {Floats} text */
export const floats = (text) => new Float32Array(bytes(text));
/** @param {Numbers} text */
export const numbers = (text) => new Uint32Array(bytes(text));
