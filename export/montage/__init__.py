"""The fence in a photograph of the site: camera, sun, and the page that points are picked on."""
