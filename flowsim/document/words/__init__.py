"""The words for what studies say: a module for each room of studies, and the telling of them."""
