"""One kind of layer of the map a module: records into shapes with the facts that are shown of them."""
