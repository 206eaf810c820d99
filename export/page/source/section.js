// A cut through a post and its footing, seen along the fence.
import { Plane, Vector3 } from "three";
import { long } from "./lengths.js";
import { say } from "./messages.js";
import { words } from "./words.js";

/**
 * @import { App } from "./app.js"
 * @import { PostData } from "./data.js"
 */

export class Section {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {PostData | null} that the cut goes through */
    this.post = null;
  }

  toggle() {
    if (this.post) {
      this.leave();
      this.app.views.front();
      return;
    }
    const { world } = this.app;
    const post = world.data.posts.find((one) => one.kind === "line") || world.data.posts.find((one) => one.deep > 0);
    if (!post) {
      say(words.noPost);
      return;
    }
    const { at, along } = this.cut(post);
    const low = at.clone().setZ(at.z + post.top / 2 - post.deep / 2);
    const away = (post.top + post.deep) * 1.9;
    this.app.views.look(low.clone().addScaledVector(along, -away).setZ(low.z + 120), low);
  }

  /** @param {PostData} post */
  cut(post) {
    const { world } = this.app;
    const at = new Vector3(...post.at);
    const along = new Vector3(...post.along, 0);
    // uphill, so that the ground behind does not hide the hole
    const beyond = at.clone().addScaledVector(along, 3000);
    const before = at.clone().addScaledVector(along, -3000);
    if (world.groundAt(beyond.x, beyond.y) < world.groundAt(before.x, before.y)) along.negate();
    world.cut(new Plane().setFromNormalAndCoplanarPoint(along.clone(), at));
    world.soil.position.copy(at).addScaledVector(along, 420).setZ(at.z - 1202);
    world.soil.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(0, 0, 1));
    world.soil.rotateY(Math.atan2(along.y, along.x) + Math.PI / 2);
    this.post = post;
    this.app.views.below(true);
    this.app.tools.mark("section", true);
    say(words.cut(post.label, long(world.data, post.deep), long(world.data, post.top)), true);
    return { at, along };
  }

  /**
   * Cut the fence that has come where the one before was cut, if it has that post.
   * @param {PostData | null} before
   */
  keep(before) {
    const post = before && this.app.world.data.posts.find((one) => one.label === before.label && one.deep > 0);
    if (post) this.cut(post);
    else if (before) say("");
  }

  leave() {
    if (!this.post) return;
    this.post = null;
    this.app.world.cut(null);
    this.app.views.below(false);
    this.app.tools.mark("section", false);
    say("");
  }
}
